/** The message by which the ordering system stops an order, made out of the one by which it placed it. */
export function stopMessage(placed: string, atMs: number): string {
  const time = `${new Date(atMs).toISOString().replaceAll(/[-:T]/g, '').slice(0, 14)}+0000`
  const segments = placed.split('\r')
  const named = (name: string) => segments.find((segment) => segment.startsWith(`${name}|`))
  const header = (named('MSH') ?? '').split('|')
  header[6] = time
  header[9] = `STOP${time.slice(8, 14)}`
  const order = (named('ORC') ?? '').split('|')
  const stop = ['ORC', 'DC', order[2], ...Array.from({ length: 12 }, () => ''), time]
  return [header.join('|'), named('PID'), stop.join('|'), ''].join('\r')
}
