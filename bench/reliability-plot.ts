import type { ReliabilityRow } from '../src/rounds/index.ts'

const SIZE = 420
const [LEFT, TOP, SIDE] = [52, 22, 340]
const SMALLEST_DOT = 3
const LARGEST_DOT = 11

/** A reliability plot as SVG: told chance across, share on time up; a dot's area grows with its visits. */
export function reliabilityPlot(rows: readonly ReliabilityRow[], title: string): string {
  const most = Math.max(...rows.map((row) => row.visits))
  const x = (share: number) => (LEFT + SIDE * share).toFixed(1)
  const y = (share: number) => (TOP + SIDE * (1 - share)).toFixed(1)
  const ticks = [0, 0.2, 0.4, 0.6, 0.8, 1]
  const dots = rows.map(({ meanChance, onTimeShare, visits }) => {
    const radius = SMALLEST_DOT + (LARGEST_DOT - SMALLEST_DOT) * Math.sqrt(visits / most)
    return `<circle cx="${x(meanChance)}" cy="${y(onTimeShare)}" r="${radius.toFixed(1)}"><title>told ${percent(meanChance)}, on time ${percent(onTimeShare)}, ${visits} visits</title></circle>`
  })
  return `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${SIZE} ${SIZE}" role="img" aria-label="${title}" font-family="sans-serif" font-size="12">
<rect width="${SIZE}" height="${SIZE}" fill="#fff"/>
<text x="${LEFT}" y="15" fill="#222">${title}</text>
<g stroke="#ddd">${ticks.map((t) => `<path d="M${x(t)} ${y(0)}V${y(1)}M${x(0)} ${y(t)}H${x(1)}"/>`).join('')}</g>
<path d="M${x(0)} ${y(0)}L${x(1)} ${y(1)}" stroke="#888" stroke-dasharray="5 4"/>
<g fill="#222" text-anchor="middle">${ticks.map((t) => `<text x="${x(t)}" y="${TOP + SIDE + 17}">${percent(t)}</text>`).join('')}<text x="${LEFT + SIDE / 2}" y="${TOP + SIDE + 38}">chance told</text></g>
<g fill="#222" text-anchor="end">${ticks.map((t) => `<text x="${LEFT - 7}" y="${Number(y(t)) + 4}">${percent(t)}</text>`).join('')}</g>
<text transform="translate(13 ${TOP + SIDE / 2}) rotate(-90)" text-anchor="middle" fill="#222">on time</text>
<g fill="#1f6f78" fill-opacity="0.75" stroke="#0d3d43">
${dots.join('\n')}
</g>
</svg>
`
}

const percent = (share: number): string => `${Math.round(100 * share)} %`
