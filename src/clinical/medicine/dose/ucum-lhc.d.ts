/** The part of the package's interface that the tests of this folder use; it brings no types along. */
declare module '@lhncbc/ucum-lhc' {
  type Conversion = { readonly status: 'succeeded' | 'failed' | 'error'; readonly toVal: number | null }
  export const UcumLhcUtils: {
    getInstance(): {
      convertUnitTo(
        fromCode: string,
        value: number,
        toCode: string,
        options?: { readonly molecularWeight?: number },
      ): Conversion
    }
  }
}
