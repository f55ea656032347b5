/**
 * What the pictures of a camera come to, one after the other. Pure: the codes of one picture in, what to do out. A code
 * counts when two pictures in a row show it alone: a blurred one is not taken on one look, and of two in sight none is
 * chosen.
 */
export type CameraState = { readonly last: string | null }
export type CameraOutcome = {
  readonly state: CameraState
  readonly act: 'look on' | 'several' | 'scanned'
  readonly code?: string
}

export const NOTHING_SEEN: CameraState = { last: null }

/** What one picture means after the one before it. */
export function cameraStep({ last }: CameraState, codes: readonly string[]): CameraOutcome {
  const [code, ...others] = [...new Set(codes)]
  if (code === undefined) return { state: NOTHING_SEEN, act: 'look on' }
  if (others.length > 0) return { state: NOTHING_SEEN, act: 'several' }
  if (code !== last) return { state: { last: code }, act: 'look on' }
  return { state: NOTHING_SEEN, act: 'scanned', code }
}
