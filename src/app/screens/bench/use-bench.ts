import { useRouter, useRouterState } from '@tanstack/react-router'
import { useCallback, useEffect, useRef, useState } from 'react'
import { type BenchRead, readBench, writeBench } from './bench-link.ts'
import { type Bench, USUAL_BENCH } from './bench-state.ts'

/** The bench that this tab had last, for coming back by the bar: the search part of its link, without a visit. */
const LAST_BENCH_KEY = 'mistwright bench last'
/** So long after the last move the address follows: browsers take only so many changes of address. */
const SETTLED_MS = 250

type Opened = Exclude<BenchRead, { kind: 'nothing said' }>

export type BenchDesk = {
  readonly opened: Opened
  readonly setBench: (bench: Bench) => void
  /** Changes the bench as it then stands; the same function always. */
  readonly changeBench: (change: (bench: Bench) => Bench) => void
  /** The address that gives this bench again, without the visit. */
  readonly link: (bench: Bench) => string
}

/** The bench that the address says; what is changed on it is said in the address a moment later. */
export function useBench(cupIds: readonly string[]): BenchDesk {
  const router = useRouter()
  const searchStr = useRouterState({ select: ({ location }) => location.searchStr })
  const [opened, setOpened] = useState(() => opening(router.history.location.search, cupIds))
  const [firstSaid] = useState(() => searchOf(opened))
  const said = useRef(firstSaid)

  // Somebody followed a link or went back: what the bench itself wrote is known by `said`.
  // biome-ignore lint/correctness/useExhaustiveDependencies: searchStr only tells when to look at the address
  useEffect(() => {
    const { pathname, search } = router.history.location
    if (!pathname.endsWith('/bench')) return
    const next = opening(search, cupIds)
    const nextSaid = searchOf(next)
    if (nextSaid !== null && nextSaid === said.current) return
    said.current = nextSaid
    setOpened(next)
  }, [searchStr, router, cupIds])

  useEffect(() => {
    if (opened.kind !== 'bench') return
    const timer = setTimeout(() => {
      keep(opened)
      const next = writeBench(opened.bench, opened.visitId)
      if (!router.history.location.pathname.endsWith('/bench')) return
      said.current = next
      if (router.history.location.search.replace(/^\?/, '') === next) return
      void router.navigate({ href: `/bench?${next}`, replace: true, resetScroll: false })
    }, SETTLED_MS)
    return () => clearTimeout(timer)
  }, [opened, router])

  // Whoever leaves sooner than that finds the bench as it was left.
  const latest = useRef(opened)
  useEffect(() => {
    latest.current = opened
  }, [opened])
  useEffect(() => {
    const keepLatest = () => keep(latest.current)
    window.addEventListener('pagehide', keepLatest)
    return () => {
      window.removeEventListener('pagehide', keepLatest)
      keepLatest()
    }
  }, [])

  const setBench = useCallback(
    (bench: Bench) => setOpened((before) => ({ kind: 'bench', bench, visitId: before.visitId })),
    [],
  )
  const changeBench = useCallback(
    (change: (bench: Bench) => Bench) =>
      setOpened((before) => (before.kind === 'bench' ? { ...before, bench: change(before.bench) } : before)),
    [],
  )
  const link = useCallback((bench: Bench) => `${window.location.origin}/bench?${writeBench(bench, null)}`, [])
  return { opened, setBench, changeBench, link }
}

function keep(opened: Opened): void {
  if (opened.kind === 'bench') sessionStorage.setItem(LAST_BENCH_KEY, writeBench(opened.bench, null))
}

function searchOf(opened: Opened): string | null {
  return opened.kind === 'bench' ? writeBench(opened.bench, opened.visitId) : null
}

/** Where the address says nothing of a bench: the last one of this tab, or the usual one. */
function opening(search: string, cupIds: readonly string[]): Opened {
  const read = readBench(search, cupIds)
  if (read.kind !== 'nothing said') return read
  const last = readBench(sessionStorage.getItem(LAST_BENCH_KEY) ?? '', cupIds)
  return { kind: 'bench', bench: last.kind === 'bench' ? last.bench : USUAL_BENCH, visitId: read.visitId }
}
