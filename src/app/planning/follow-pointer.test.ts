import { describe, expect, it } from 'vitest'
import { followPointer } from './follow-pointer.ts'

class Grip extends EventTarget {
  captured: number[] = []
  setPointerCapture(pointerId: number) {
    this.captured.push(pointerId)
  }
  send(type: string, clientX = 0, clientY = 0) {
    this.dispatchEvent(Object.assign(new Event(type), { clientX, clientY }))
  }
}

function taken() {
  const grip = new Grip()
  const keys = new EventTarget()
  const log: unknown[] = []
  followPointer(grip, { pointerId: 7, clientX: 100, clientY: 200 }, keys, {
    onMove: ({ x, y, dx, dy }) => log.push([x, y, dx, dy]),
    onEnd: (dropped) => log.push(dropped),
  })
  const press = (key: string) => keys.dispatchEvent(Object.assign(new Event('keydown'), { key }))
  return { grip, log, press }
}

describe('a pointer that took hold', () => {
  it('is captured and followed until it lets go, and not beyond', () => {
    const { grip, log } = taken()
    grip.send('pointermove', 110, 190)
    grip.send('pointerup')
    grip.send('pointermove', 300, 300)
    grip.send('pointerup')
    expect(grip.captured).toEqual([7])
    expect(log).toEqual([[110, 190, 10, -10], true])
  })

  it('drops nothing when the system takes it away', () => {
    const { grip, log } = taken()
    grip.send('pointercancel')
    grip.send('pointerup')
    expect(log).toEqual([false])
  })

  it('drops nothing after Escape, and hears no other key', () => {
    const { grip, log, press } = taken()
    press('a')
    press('Escape')
    press('Escape')
    grip.send('pointerup')
    expect(log).toEqual([false])
  })
})
