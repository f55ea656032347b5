import type { ReaderOptions } from 'zxing-wasm/reader'

/**
 * The codes that medicines, wristbands and labels carry. `Plain` keeps the separators of GS1 data as they are; two
 * codes in sight are read both, so that none is chosen by chance.
 */
export const READER_OPTIONS: ReaderOptions = {
  formats: ['DataMatrix', 'Code128', 'Code39', 'QRCode', 'PDF417', 'Aztec', 'EANUPC', 'DataBar'],
  textMode: 'Plain',
  tryHarder: true,
  maxNumberOfSymbols: 4,
}
