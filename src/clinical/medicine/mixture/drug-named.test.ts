import { describe, expect, it } from 'vitest'
import { BadInput } from '../../worked.ts'
import { defaultFormulary } from '../formulary/formulary.ts'
import { drugNamed } from './drug-named.ts'

const named = (name: string) => drugNamed(defaultFormulary(), 'a', name)

describe('the drug that is meant by a name', () => {
  it.each([
    ['albuterol', 'albuterol'],
    ['Salbutamol', 'albuterol'],
    [' Ipratropium ', 'ipratropium'],
    ['metaproterenol', 'metaproterenol'], // of a published pair, not of the formulary
    ['Sterile water', 'sterile-water'],
    ['sodium-chloride 5.85 %', 'sodium-chloride-5.85'],
    ['any solution with benzalkonium chloride', 'benzalkonium-chloride'],
    ['any other drug', '*'],
    ['tetracyclines', 'tetracycline'],
    ['Amphotericin B', 'amphotericin-b'],
  ])('%s is %s', (name, id) => {
    expect(named(name)).toBe(id)
  })
  it.each(['snow', '', 'lev', 'erythromycin, ampicillin'])('refuses %o', (name) => {
    expect(() => named(name)).toThrow(BadInput)
    expect(() => named(name)).toThrow(/^a is .*; allowed: one medicine of the formulary/)
  })
})
