import { prepareZXingModule, readBarcodes } from 'zxing-wasm/reader'
import wasmUrl from 'zxing-wasm/reader/zxing_reader.wasm?url'
import type { FromReader, ToReader } from './messages.ts'
import { READER_OPTIONS } from './reader-options.ts'

/** Reads codes out of pictures in a thread of its own. The reader comes from our own server, never from elsewhere. */
const here = self as unknown as {
  postMessage(message: FromReader): void
  onmessage: ((event: MessageEvent<ToReader>) => void) | null
}

prepareZXingModule({ overrides: { locateFile: () => wasmUrl } })

here.onmessage = async ({ data }) => {
  try {
    const found = await readBarcodes(data.picture, READER_OPTIONS)
    const codes = found
      .filter(({ isValid }) => isValid)
      .map(({ text, symbologyIdentifier, contentType }) => ({ text, symbologyIdentifier, contentType }))
    here.postMessage({ kind: 'read', codes })
  } catch (error) {
    here.postMessage({ kind: 'failed', why: error instanceof Error ? error.message : String(error) })
  }
}
