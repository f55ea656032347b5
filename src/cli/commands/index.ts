import type { Command } from '../command.ts'
import { admin } from './admin.ts'
import { backup, restore } from './backup.ts'
import { due } from './due.ts'
import { exportFacts } from './export.ts'
import { migrateTables } from './migrate.ts'
import { move } from './move.ts'
import { problem } from './problem.ts'
import { receive } from './receive.ts'
import { replay } from './replay.ts'
import { round } from './round.ts'
import { start } from './start.ts'
import { verify } from './verify.ts'
import { work } from './work.ts'

/** Every command, in the order of the help. */
export const COMMANDS: readonly Command[] = [
  start,
  admin,
  receive,
  due,
  work,
  problem,
  round,
  replay,
  verify,
  backup,
  restore,
  exportFacts,
  migrateTables,
  move,
]
