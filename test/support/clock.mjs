/**
 * Loaded into a server before its program: its clock runs beside the true one by as many milliseconds as the file
 * named in CLOCK_FILE says, read again five times a second, so that it can jump while the server runs.
 */
import { readFileSync } from 'node:fs'

const file = process.env.CLOCK_FILE ?? ''
const TrueDate = Date
let aheadMs = 0
const look = () => {
  try {
    aheadMs = Number(readFileSync(file, 'utf8')) || 0
  } catch {
    aheadMs = 0
  }
}
look()
setInterval(look, 200).unref()

globalThis.Date = class JumpingDate extends TrueDate {
  constructor(...words) {
    if (words.length === 0) super(TrueDate.now() + aheadMs)
    else super(...words)
  }
  static now() {
    return TrueDate.now() + aheadMs
  }
}
