import type { CarryList } from '../../../shift/index.ts'

/** A part of the bag: what it holds, each with how much. */
export type CarryPart = {
  readonly name: string
  readonly lines: readonly { readonly what: string; readonly amount: string }[]
}

/** A carry list in words, part by part; parts with nothing in them are left away. */
export function carryParts({
  medicines,
  nebulizers,
  interfaces,
  filters,
  always,
  gases,
  unclear,
}: CarryList): CarryPart[] {
  const pieces = (lines: CarryList['nebulizers']) =>
    lines.map(({ what, count }) => ({ what, amount: `${count} ×` }))
  return [
    {
      name: 'Medicines',
      lines: medicines.map(({ text, doses, amount, unit, volumeMl }) => ({
        what: text,
        amount: [
          `${doses} ${doses === 1 ? 'dose' : 'doses'}`,
          ...(amount === null ? [] : [`${amount} ${unit ?? ''}`.trim()]),
          ...(volumeMl > 0 ? [`${volumeMl} mL`] : []),
        ].join(' · '),
      })),
    },
    { name: 'Nebulizers', lines: pieces(nebulizers) },
    { name: 'Interfaces', lines: pieces(interfaces) },
    { name: 'Filters', lines: pieces(filters) },
    { name: 'Always in the bag', lines: always.map((what) => ({ what, amount: '' })) },
    {
      name: 'Gas that these runs take, where there is no wall outlet',
      lines: gases.map(({ gas, liters, cylinders }) => ({
        what: gas,
        amount: [`${liters} L`, ...cylinders.map(cylinderWords)].join(' · '),
      })),
    },
    {
      name: 'Ask before setting out',
      lines: unclear.map(({ title, why }) => ({ what: title, amount: why })),
    },
  ].filter(({ lines }) => lines.length > 0)
}

function cylinderWords({ id, needPsi, enough }: CarryList['gases'][number]['cylinders'][number]): string {
  return enough ? `a size ${id} cylinder at ${needPsi} psi or more` : `more than one size ${id} cylinder`
}
