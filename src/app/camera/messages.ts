import type { CodeRead } from './wedge-text.ts'

/** A picture to the reader's thread, and what it found. */
export type ToReader = { readonly picture: ImageData }
export type FromReader =
  | { readonly kind: 'read'; readonly codes: readonly CodeRead[] }
  | { readonly kind: 'failed'; readonly why: string }
