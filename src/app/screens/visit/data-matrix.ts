import { drawingSVG, gs1datamatrix } from 'bwip-js/generic'

/**
 * A GS1 DataMatrix as an address of a picture (SVG). Loaded only when a label is made: the writer is large.
 * @param text element string with the identifiers in brackets
 * @throws Error when it is not a GS1 element string
 */
export function dataMatrixPicture(text: string): string {
  const svg = gs1datamatrix({ bcid: 'gs1datamatrix', text, scale: 4, padding: 4 }, drawingSVG())
  return `data:image/svg+xml,${encodeURIComponent(svg)}`
}
