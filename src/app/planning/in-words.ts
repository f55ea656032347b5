const SMALL = [
  'no',
  'one',
  'two',
  'three',
  'four',
  'five',
  'six',
  'seven',
  'eight',
  'nine',
  'ten',
  'eleven',
  'twelve',
  'thirteen',
  'fourteen',
  'fifteen',
  'sixteen',
  'seventeen',
  'eighteen',
  'nineteen',
]
const TENS = ['', '', 'twenty', 'thirty', 'forty', 'fifty', 'sixty', 'seventy', 'eighty', 'ninety']

/** A count as a word, up to ninety-nine; in figures beyond. */
export function inWords(count: number): string {
  if (!Number.isInteger(count) || count < 0 || count > 99) return String(count)
  if (count < 20) return SMALL[count] ?? String(count)
  const ones = count % 10
  return `${TENS[Math.floor(count / 10)]}${ones === 0 ? '' : `-${SMALL[ones]}`}`
}

/** "one visit", "four visits". */
export function counted(count: number, one: string, many = `${one}s`): string {
  return `${inWords(count)} ${count === 1 ? one : many}`
}

export function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1)
}

/** "a", "a and b", "a, b and c". */
export function listed(items: readonly string[]): string {
  if (items.length < 2) return items[0] ?? ''
  return `${items.slice(0, -1).join(', ')} and ${items.at(-1)}`
}

/** "45 min", "2 h 05". */
export function hoursText(minutes: number): string {
  const whole = Math.round(minutes)
  if (whole < 60) return `${whole} min`
  return `${Math.floor(whole / 60)} h ${String(whole % 60).padStart(2, '0')}`
}
