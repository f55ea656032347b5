import { describe, expect, it } from 'vitest'
import { longest, readPageTrace } from '../support/page-tasks.ts'

const MARK = 'watched'
const named = (pid: number, tid: number, name: string) => ({
  name: 'thread_name',
  ph: 'M',
  pid,
  tid,
  ts: 0,
  args: { name },
})
const mark = (pid: number, tid: number, name = MARK) => ({ name, ph: 'I', pid, tid, ts: 5 })
/** A task or a part of one; times in ms, as the trace holds them in µs. */
const span = (
  pid: number,
  tid: number,
  name: string,
  at: number,
  wall: number,
  processor?: number,
  data = {},
) => ({
  name,
  ph: 'X',
  pid,
  tid,
  ts: at * 1000,
  dur: wall * 1000,
  ...(processor === undefined ? {} : { tdur: processor * 1000 }),
  args: { data },
})
const task = (pid: number, tid: number, at: number, wall: number, processor?: number) =>
  span(pid, tid, 'ThreadControllerImpl::RunTask', at, wall, processor)
const read = (traceEvents: readonly object[]) => readPageTrace(JSON.stringify({ traceEvents }), MARK)

const PAGE = [named(7, 1, 'CrRendererMain'), mark(7, 1)]

describe('the tasks of a page in a trace', () => {
  it('are those of the page that set the mark, not of a busier one', () => {
    const other = [named(8, 1, 'CrRendererMain'), mark(8, 1, 'another'), task(8, 1, 0, 900, 800)]
    const { page } = read([...other, ...PAGE, task(7, 1, 0, 30, 20), task(7, 1, 40, 25, 24)])
    expect(page.tasks.map(({ wallMs, processorMs }) => [wallMs, processorMs])).toEqual([
      [30, 20],
      [25, 24],
    ])
  })

  it('leave out other threads of the same process', () => {
    const { page } = read([...PAGE, named(7, 2, 'Compositor'), task(7, 2, 0, 400, 300), task(7, 1, 0, 3, 2)])
    expect(page.tasks).toHaveLength(1)
  })

  it('are longest by the wall or by the processor, which may be two of them', () => {
    const { page } = read([...PAGE, task(7, 1, 0, 80, 10), task(7, 1, 100, 40, 35)])
    expect(longest(page.tasks, 'wallMs').processorMs).toBe(10)
    expect(longest(page.tasks, 'processorMs').wallMs).toBe(40)
    expect(() => longest([], 'wallMs')).toThrow('no task')
  })

  it('name the longest things in a long one, and nothing of the next', () => {
    const parts = [
      span(7, 1, 'FunctionCall', 1, 20, 18, { functionName: 'draw' }),
      span(7, 1, 'Layout', 22, 3, 3),
      span(7, 1, 'MinorGC', 50, 9, 9),
    ]
    const { page } = read([...PAGE, task(7, 1, 0, 30, 25), task(7, 1, 49, 12, 11), ...parts])
    expect(page.tasks.map((each) => each.parts)).toEqual([['FunctionCall draw 18'], ['MinorGC 9']])
  })

  it('leave out what the driver asked, unless the page did something in answer', () => {
    const asked = (at: number) => ({
      ...span(7, 1, 'Receive mojo message', at, 60, 60),
      args: { chrome_mojo_event_info: { mojo_interface_tag: 'blink.mojom.DevToolsSession' } },
    })
    const own = [asked(101), span(7, 1, 'EventDispatch', 102, 40, 40)]
    const laidOut = [asked(201), span(7, 1, 'Layout', 202, 1, 1)]
    const message = span(7, 1, 'Receive mojo message', 301, 30, 30)
    const tasks = [
      task(7, 1, 0, 70, 61),
      task(7, 1, 100, 70, 62),
      task(7, 1, 200, 70, 63),
      task(7, 1, 300, 70, 64),
    ]
    const { page, driver } = read([...PAGE, ...tasks, asked(1), ...own, ...laidOut, message])
    expect(page.tasks.map(({ processorMs }) => processorMs)).toEqual([62, 63, 64])
    expect(driver.map(({ processorMs }) => processorMs)).toEqual([61])
  })

  it('stand beside the workers of the page’s process, each with its scripts', () => {
    const url = 'http://127.0.0.1/assets/planner.worker.js'
    const { page, workers } = read([
      ...PAGE,
      task(7, 1, 0, 5, 4),
      named(7, 9, 'DedicatedWorker thread'),
      task(7, 9, 0, 700, 650),
      span(7, 9, 'FunctionCall', 1, 600, 600, { url }),
      named(8, 9, 'DedicatedWorker thread'),
      task(8, 9, 0, 50, 50),
    ])
    expect(workers).toHaveLength(1)
    expect(workers[0]?.tasks[0]?.processorMs).toBe(650)
    expect([...(workers[0]?.scripts ?? [])]).toEqual([url])
    expect(page.scripts.size).toBe(0)
  })
})

describe('a trace that cannot be judged is refused', () => {
  it('without the page, or with the mark in two', () => {
    expect(() => read([named(7, 1, 'CrRendererMain'), task(7, 1, 0, 5, 4)])).toThrow('no page with the mark')
    expect(() => read([...PAGE, named(8, 1, 'CrRendererMain'), mark(8, 1), task(7, 1, 0, 5, 4)])).toThrow(
      'more than one page',
    )
  })

  it('without a task of the page', () => {
    expect(() => read([...PAGE, named(8, 1, 'CrRendererMain'), task(8, 1, 0, 5, 4)])).toThrow(
      'no task of the page',
    )
  })

  it('with a task whose processor time nobody took', () => {
    expect(() => read([...PAGE, task(7, 1, 0, 5, 4), task(7, 1, 9, 60)])).toThrow('no processor time')
  })
})
