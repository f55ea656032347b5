/** The part of pdfmake 0.3 that we use; the package brings no types. */
declare module 'pdfmake' {
  type Content = { readonly text: string; readonly style?: string; readonly margin?: readonly number[] }
  type Document = {
    readonly content: readonly Content[]
    readonly defaultStyle: { readonly fontSize: number; readonly lineHeight: number }
    readonly styles: Readonly<
      Record<string, { readonly fontSize?: number; readonly bold?: boolean; readonly color?: string }>
    >
    readonly footer: (page: number, pages: number) => Content
    readonly info: { readonly title: string }
    readonly pageSize: 'LETTER' | 'A4'
    readonly pageMargins: readonly number[]
  }
  const pdfmake: {
    addFonts(fonts: Readonly<Record<string, Readonly<Record<string, string>>>>): void
    setUrlAccessPolicy(allows: (url: string) => boolean): void
    setLocalAccessPolicy(allows: (path: string) => boolean): void
    createPdf(document: Document): { getBuffer(): Promise<Buffer> }
  }
  export default pdfmake
}
