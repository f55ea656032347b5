import { createRequire } from 'node:module'
import { dirname, join } from 'node:path'
import pdfmake from 'pdfmake'
import type { HandoverState } from '../chart/folds/handover.ts'

let ready = false

/** Fonts from the library's own folder; nothing else on this machine and nothing from the network is read. */
function prepare(): void {
  if (ready) return
  const folder = join(dirname(createRequire(import.meta.url).resolve('pdfmake')), '..', 'fonts', 'Roboto')
  const font = (name: string) => join(folder, `Roboto-${name}.ttf`)
  pdfmake.setUrlAccessPolicy(() => false)
  pdfmake.setLocalAccessPolicy((path) => path.startsWith(folder))
  pdfmake.addFonts({
    Roboto: {
      normal: font('Regular'),
      bold: font('Medium'),
      italics: font('Italic'),
      bolditalics: font('MediumItalic'),
    },
  })
  ready = true
}

/** The hospital's name and IANA time zone, for the heading and the times on paper. */
type Site = { readonly facilityName: string; readonly timeZone: string }

/**
 * A handover on paper: who wrote it and when, the text as handed over, and who took it (21 CFR 11.50 asks for printed
 * name, time and meaning). Times are those of the hospital's clock, and say so.
 */
export function handoverPdf(handover: HandoverState, { facilityName, timeZone }: Site): Promise<Buffer> {
  prepare()
  const clock = new Intl.DateTimeFormat('en-US', {
    timeZone,
    dateStyle: 'medium',
    timeStyle: 'short',
    hourCycle: 'h23',
  })
  const time = (instant: string) => clock.format(new Date(instant))
  const title = `Handover of ${handover.units.join(', ')}`
  const taken = handover.accepted.map(
    ({ printedName, at, questions }) =>
      `Accepted by ${printedName}, ${time(at)}${questions ? `. Asked: ${questions}` : ''}`,
  )
  return pdfmake
    .createPdf({
      info: { title },
      pageSize: 'LETTER',
      pageMargins: [54, 54, 54, 54],
      defaultStyle: { fontSize: 10, lineHeight: 1.25 },
      styles: {
        title: { fontSize: 16, bold: true },
        quiet: { fontSize: 9, color: '#5d5346' },
        patient: { bold: true },
      },
      content: [
        { text: title, style: 'title' },
        {
          text: [
            `${facilityName} · ${time(handover.from)} to ${time(handover.to)}`,
            `Written by ${handover.printedName}, ${time(handover.writtenAt)}`,
            `Times are those of ${timeZone}`,
          ].join('\n'),
          style: 'quiet',
          margin: [0, 2, 0, 12],
        },
        ...handover.text.split('\n\n').flatMap((block) => {
          const [heading = '', ...lines] = block.split('\n')
          return [
            { text: heading, style: 'patient', margin: [0, 6, 0, 0] },
            { text: lines.join('\n'), margin: [0, 0, 0, 4] },
          ]
        }),
        { text: taken.join('\n') || 'Not accepted yet.', style: 'quiet', margin: [0, 12, 0, 0] },
      ],
      footer: (page, pages) => ({ text: `${page} of ${pages}`, style: 'quiet', margin: [54, 8] }),
    })
    .getBuffer()
}
