/** What the reader says of one code in the picture. */
export type CodeRead = {
  readonly text: string
  /** ISO/IEC 15424: `]d2` says that GS1 data stands in a Data Matrix. */
  readonly symbologyIdentifier: string
  readonly contentType: string
}

/**
 * A code as a scanner that types would send it, so that it goes the same way: GS1 data with its symbology identifier and
 * the separators, everything else as the plain text that it is.
 */
export function wedgeText({ text, symbologyIdentifier, contentType }: CodeRead): string {
  return contentType === 'GS1' ? `${symbologyIdentifier}${text}` : text
}
