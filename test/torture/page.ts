/** Runs in a real browser, on the app's own record: what a tablet does, without its screens. */
import './no-eval.ts'
import { createApi } from '../../src/app/local/api.ts'
import { deviceId } from '../../src/app/local/device.ts'
import { Session } from '../../src/app/local/session.ts'
import { bedsideFacts } from './bedside-facts.ts'
import { concerningFacts, shiftDigest } from './chart-digest.ts'
import { Dice } from './dice.ts'

type Words = {
  readonly personId: string
  readonly password: string
  readonly seed: number
  readonly clockAheadMs: number
}

declare global {
  interface Window {
    torture: ReturnType<typeof begin>
    /** Told of facts once the tablet's own disk has them. */
    kept: (ids: readonly string[]) => void
  }
}

const pause = (ms: number) => new Promise((resolve) => setTimeout(resolve, ms))

function begin({ personId, password, seed, clockAheadMs }: Words) {
  const trueNow = Date.now.bind(Date)
  Date.now = () => trueNow() + clockAheadMs
  const session = new Session(createApi((path, init) => fetch(path, init)))
  const dice = new Dice(seed)
  let working = true
  const enter = async () => {
    await session.open()
    while (session.state().kind !== 'in') {
      await session.signIn(personId, password)
      if (session.state().kind !== 'in') await pause(300)
    }
  }
  const store = () => {
    const state = session.state()
    if (state.kind !== 'in') throw new Error('nobody is signed in')
    return state.store
  }
  const letIn = async () => {
    const state = session.state()
    const out = state.kind === 'in' && (state.locked || /out|locked/.test(state.store.sending().line))
    if (out) await session.unlockByPassword(password)
  }
  const work = async () => {
    await enter()
    while (working) {
      await letIn()
      const state = session.state()
      if (state.kind !== 'in') {
        await enter()
        continue
      }
      const hand = { facility: state.me.facility, personId, device: deviceId(), nowMs: Date.now, dice }
      const facts = bedsideFacts(hand, dice.whole(1, 4))
      await store().record(facts)
      window.kept(facts.map(({ id }) => id))
      await pause(dice.whole(20, 120))
    }
  }
  const ended = work().then(
    () => null,
    (error) => String(error?.stack ?? error),
  )
  return {
    /** Stops writing; gives what went wrong, if anything did. */
    stop: () => {
      working = false
      return ended
    },
    /** Whether all was sent and taken; asks again what may have been cut off. */
    settled: async () => {
      if (session.state().kind !== 'in') await enter()
      await letIn()
      const { waiting, refused, behind, line } = store().sending()
      if (waiting > 0 || behind > 0 || line !== 'live') store().wake()
      return { waiting, refused: refused.length, behind, line, facts: concerningFacts(store().chart).length }
    },
    digest: () => shiftDigest(store().chart),
  }
}

Object.assign(window, { beginTorture: (words: Words) => Object.assign(window, { torture: begin(words) }) })
