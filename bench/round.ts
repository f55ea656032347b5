import { milpBench } from './round-milp.ts'
import { boundBench, exactBench } from './round-proof.ts'
import { constructBench, type SearchBench, shiftBench, solomonBench } from './round-search.ts'

const PARTS: Readonly<Record<string, (options: SearchBench) => void | Promise<void>>> = {
  exact: exactBench,
  milp: milpBench,
  construct: constructBench,
  shifts: shiftBench,
  solomon: solomonBench,
  bound: boundBench,
}

/**
 * Planning: `npm run bench -- round [PART…] [--seeds N] [--seconds S,S] [--files REGEX] [--wall]`. Seconds are processor time of this one
 * process, since a machine may be shared; with --wall, seconds on the wall. Without parts, all of them (about half an hour).
 */
export async function run(): Promise<void> {
  const words = process.argv.slice(3)
  const option = (name: string, usual: string): string => {
    const place = words.indexOf(`--${name}`)
    return place < 0 ? usual : (words.splice(place, 2)[1] ?? usual)
  }
  const wall = words.includes('--wall')
  if (wall) words.splice(words.indexOf('--wall'), 1)
  const seeds = Number(option('seeds', '5'))
  const files = new RegExp(option('files', ''))
  const secondsEach = option('seconds', '1,10').split(',').map(Number)
  const unknown = words.filter((word) => !(word in PARTS))
  if (unknown.length > 0 || ![seeds, ...secondsEach].every((number) => number > 0))
    throw new Error(
      `round: parts are ${Object.keys(PARTS).join(', ')}; --seeds N --seconds S,S are above zero`,
    )
  for (const [name, part] of Object.entries(PARTS))
    if (words.length === 0 || words.includes(name)) await part({ seeds, secondsEach, wall, files })
}
