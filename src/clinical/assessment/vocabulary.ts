/** The words of a look at the patient. Signed facts hold these very words: add to them, never rename or remove. */

/** Six zones of the chest, as seen from the front and heard at the back. */
export const LUNG_ZONES = [
  'right upper',
  'left upper',
  'right middle',
  'left middle',
  'right lower',
  'left lower',
] as const
export type LungZone = (typeof LUNG_ZONES)[number]

/** What can be heard in a zone, in our own words. */
export const BREATH_SOUNDS = {
  clear: 'Air moves in and out freely, nothing added.',
  'wheeze on breathing out': 'A musical note while air goes out.',
  'wheeze both ways': 'A musical note while air goes in and while it goes out.',
  'coarse crackles': 'Low, bubbling clicks; they may change with a cough.',
  'fine crackles': 'High, short clicks late in breathing in.',
  diminished: 'Air is heard less than it should be.',
  absent: 'No air is heard.',
  stridor: 'A harsh note from the upper airway, mostly while air goes in.',
  rub: 'A creak as of leather, with breathing in and out.',
} as const
export type BreathSound = keyof typeof BREATH_SOUNDS

/** How hard the patient works to breathe, easiest first. */
export const WORK_OF_BREATHING = {
  easy: 'Quiet breathing, no extra muscles, whole sentences.',
  'somewhat labored': 'Some extra muscles or slight drawing-in; sentences still whole.',
  labored: 'Extra muscles and drawing-in with every breath; a few words at a time.',
  exhausted: 'Tiring: shallow or irregular effort, few or no words. Call for help.',
} as const
export type WorkOfBreathing = keyof typeof WORK_OF_BREATHING

/** How awake the patient is, most awake first. */
export const CONSCIOUSNESS = {
  alert: 'Awake, knows where and when.',
  'new confusion': 'Awake, but newly muddled.',
  'to voice': 'Answers or moves when spoken to.',
  'to pain': 'Reacts only to a painful touch.',
  unresponsive: 'No reaction.',
} as const
export type Consciousness = keyof typeof CONSCIOUSNESS

/** What the patient can do towards the treatment. */
export const ABILITIES = {
  'follows and holds a mouthpiece': 'Seals the lips, breathes as asked, holds it through the treatment.',
  'follows with help': 'Needs somebody to hold it or to remind.',
  'cannot follow': 'Too young, too drowsy or too breathless to follow.',
} as const

/** The words that a vocabulary explains, in its order. */
export function wordsOf<Word extends string>(explained: Readonly<Record<Word, string>>): [Word, ...Word[]] {
  return Object.keys(explained) as [Word, ...Word[]]
}

/** No air heard in any zone that was listened to, in both lungs. */
export function isSilentChest(sounds: Partial<Readonly<Record<LungZone, readonly BreathSound[]>>>): boolean {
  const heard = Object.entries(sounds)
  const bothSides = ['right', 'left'].every((side) => heard.some(([zone]) => zone.startsWith(side)))
  return bothSides && heard.every(([, all]) => all?.length === 1 && all[0] === 'absent')
}

/** How much wheeze: 0 none heard, 1 on breathing out, 2 both ways; null where too little air moves to tell. */
export function wheezeLevel(
  sounds: Partial<Readonly<Record<LungZone, readonly BreathSound[]>>>,
): 0 | 1 | 2 | null {
  const all = Object.values(sounds).flat()
  if (all.includes('wheeze both ways')) return 2
  if (all.includes('wheeze on breathing out')) return 1
  return all.includes('absent') || all.length === 0 ? null : 0
}
