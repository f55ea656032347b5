export type DateProblem = 'DATE_FORMAT' | 'DATE_MONTH' | 'DATE_DAY'

/**
 * A six-digit date (YYMMDD) as YYYY-MM-DD. Day 00 is the last day of the month. The century is the one that brings the
 * year nearest: 51 or more years ahead of today's is last century, 50 or more behind is next century (GS1 General
 * Specifications 7.12, from memory).
 */
export function readGs1Date(
  yymmdd: string,
  today: string,
): { readonly date: string } | { readonly error: DateProblem } {
  if (!/^\d{6}$/.test(yymmdd)) return { error: 'DATE_FORMAT' }
  const [yy, month, day] = [yymmdd.slice(0, 2), yymmdd.slice(2, 4), yymmdd.slice(4)].map(Number) as [
    number,
    number,
    number,
  ]
  if (month < 1 || month > 12) return { error: 'DATE_MONTH' }
  const year = fullYear(yy, Number(today.slice(0, 4)))
  const last = new Date(Date.UTC(year, month, 0)).getUTCDate()
  if (day > last) return { error: 'DATE_DAY' }
  const shown = day === 0 ? last : day
  return { date: `${year}-${String(month).padStart(2, '0')}-${String(shown).padStart(2, '0')}` }
}

function fullYear(yy: number, thisYear: number): number {
  const century = Math.floor(thisYear / 100) * 100
  const ahead = yy - (thisYear % 100)
  if (ahead >= 51) return century - 100 + yy
  return ahead <= -50 ? century + 100 + yy : century + yy
}
