import bwip from 'bwip-js/node'

/** What a fake camera shows: gray picture points, 0 black to 255 white. */
export type Picture = { readonly width: number; readonly height: number; readonly luma: Uint8Array }

const WIDTH = 960
const HEIGHT = 720
/** Pictures in the file; the fake camera shows them over and over. */
const FRAMES = 5

/** A code as a general-purpose barcode writer draws it (bwip-js), in the middle of a gray picture. */
export function pictureOf(bcid: string, text: string, px = 5): Picture {
  const { dark, width, height } = modulesOf(bcid, text)
  const luma = new Uint8Array(WIDTH * HEIGHT).fill(110)
  const [wide, high] = [width * px, height * px]
  const quiet = 8 * px
  const [left, top] = [Math.floor((WIDTH - wide) / 2), Math.floor((HEIGHT - high) / 2)]
  if (left < quiet || top < quiet) throw new Error('the code is too large for the picture')
  for (let y = top - quiet; y < top + high + quiet; y += 1) {
    for (let x = left - quiet; x < left + wide + quiet; x += 1) {
      const [column, row] = [Math.floor((x - left) / px), Math.floor((y - top) / px)]
      const isInside = column >= 0 && column < width && row >= 0 && row < height
      luma[y * WIDTH + x] = isInside && dark(column, row) ? 20 : 235
    }
  }
  return { width: WIDTH, height: HEIGHT, luma }
}

/** A picture laid in the middle of what the camera sees. */
export function inTheMiddle({ width, height, luma }: Picture): Picture {
  const all = new Uint8Array(WIDTH * HEIGHT).fill(110)
  const [left, top] = [Math.floor((WIDTH - width) / 2), Math.floor((HEIGHT - height) / 2)]
  for (let row = 0; row < height; row += 1) {
    all.set(luma.subarray(row * width, (row + 1) * width), (top + row) * WIDTH + left)
  }
  return { width: WIDTH, height: HEIGHT, luma: all }
}

type Modules = {
  readonly dark: (column: number, row: number) => boolean
  readonly width: number
  readonly height: number
}

function modulesOf(bcid: string, text: string): Modules {
  const [code] = bwip.raw({ bcid, text }) as unknown as {
    pixs?: number[]
    pixx?: number
    pixy?: number
    sbs?: number[]
  }[]
  if (code?.pixs && code.pixx && code.pixy) {
    const { pixs, pixx, pixy } = code
    return { dark: (column, row) => pixs[row * pixx + column] === 1, width: pixx, height: pixy }
  }
  const bars = (code?.sbs ?? []).flatMap((wide, index) =>
    Array.from({ length: wide }, () => (index % 2 === 0 ? 1 : 0)),
  )
  return { dark: (column) => bars[column] === 1, width: bars.length, height: 60 }
}

/** A YUV4MPEG2 file (4:2:0, no color) that a browser can take for its camera. */
export function videoOf({ width, height, luma }: Picture): Buffer {
  const color = Buffer.alloc((width / 2) * (height / 2) * 2, 128)
  const frame = Buffer.concat([Buffer.from('FRAME\n'), luma, color])
  const head = Buffer.from(`YUV4MPEG2 W${width} H${height} F10:1 Ip A1:1 C420jpeg\n`)
  return Buffer.concat([head, ...Array.from({ length: FRAMES }, () => frame)])
}
