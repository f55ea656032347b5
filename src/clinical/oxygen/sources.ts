import type { Source, Standing } from '../worked.ts'

function source<Key extends string>(key: Key, standing: Standing, cite: string, place?: string): Source {
  return { key, standing, cite, ...(place !== undefined && { place }) }
}

/** Every source that this subject rests on, each written once. `place` says what part of it was read. */
export const OXYGEN_SOURCES = {
  MIXING: source(
    'MIXING',
    'computed',
    'Oxygen breathed in = sum of volume × share over all that is breathed in',
  ),
  SHAPIRO: source(
    'SHAPIRO',
    'verified-secondary',
    'Low-flow oxygen, worked example of Shapiro: anatomic reservoir 50 mL, filled in the last quarter of expiration',
    'as told again on a page about estimating inhaled oxygen; the book was not seen',
  ),
  CANNULA_RULE: source(
    'CANNULA_RULE',
    'verified',
    'American Pediatric Surgical Association, Pediatric Surgery library: adjuncts in respiratory care',
    'nasal cannula: 20 % and 4 % for each L/min, 1 to 6 L/min; other texts start from 21 %',
  ),
  GEA_2010: source(
    'GEA_2010',
    'verified',
    'Gea J, Orozco-Levi M, Gallart L. Increased inspiratory oxygen fractions (FIO2) using a conventional drug delivery nebuliser. Arch Bronconeumol 2010',
    'abstract',
  ),
  CAILLE_2009: source(
    'CAILLE_2009',
    'verified',
    'Inspired oxygen during oxygen- and air-driven jet nebulization with nasal oxygen, head model, 2009. PubMed 19466907',
    'abstract',
  ),
  EXTRACTION: source(
    'EXTRACTION',
    'from memory',
    'Gas breathed out holds about 0.05 less oxygen than gas breathed in',
  ),
  ENTRAINMENT: source(
    'ENTRAINMENT',
    'verified-secondary',
    'Air : oxygen = (1 − F) ÷ (F − 0.21), total flow = oxygen × (1 + ratio)',
    'worked solutions for 28 % and 50 %; at 40 % and above some take 0.20',
  ),
  CYLINDER_GUIDANCE: source(
    'CYLINDER_GUIDANCE',
    'verified',
    'Oxygen Cylinder Guidance (October 2010), applying Virginia regulation 12VAC5-31-860',
    'one page: factors of D, E, M, H and K, and the 200 psi kept back',
  ),
  CYLINDER_G: source(
    'CYLINDER_G',
    'verified-secondary',
    'How to calculate oxygen cylinder duration: factor of G, and the worked example of E',
  ),
  CYLINDER_NAGELHOUT: source(
    'CYLINDER_NAGELHOUT',
    'verified-secondary',
    'Nagelhout JJ, Zaglaniczny KL. Nurse Anesthesia, 2nd ed. 2001, Table 14-1',
    'as quoted on a transport page: 660 L at 1900 psi for E, so 0.35 L/psi; the lower factor is used here',
  ),
  BOYLE: source(
    'BOYLE',
    'computed',
    'Gas in a cylinder = water capacity × gauge pressure in atmospheres, at one temperature',
  ),
  METRIC_SIZES: source(
    'METRIC_SIZES',
    'from memory',
    'Water capacities usual in Europe: 1, 2, 3, 5, 10, 20 and 50 L, filled to 150 or 200 bar',
  ),
  HELIOX_FACTORS: source(
    'HELIOX_FACTORS',
    'verified-secondary',
    'Helium-oxygen through an oxygen flow meter: factors 1.8, 1.6 and 1.4',
    'an examination question with its worked answer',
  ),
  HELIOX_DENSITY: source(
    'HELIOX_DENSITY',
    'computed',
    'Flow through a meter at one reading goes with 1 ÷ √density: √(M of oxygen ÷ M of the mixture)',
  ),
  HELIOX_REGULATORS: source(
    'HELIOX_REGULATORS',
    'verified',
    'Polston ST, Kim IK. Heliox regulator evaluation. Respiratory Care Open Forum abstract OF-04-115, 2004',
    'abstract: 6 for 10 and 10 for 17 L/min with 70/30; labels with the gases in reversed order were misread',
  ),
  STANDARD_ATMOSPHERE: source(
    'STANDARD_ATMOSPHERE',
    'from memory',
    'ICAO standard atmosphere: 101325 Pa × (1 − 2.25577e-5 × height)^5.25588',
    'the test beside it compares with PsychroLib, after the ASHRAE Handbook',
  ),
  INSPIRED_PRESSURE: source(
    'INSPIRED_PRESSURE',
    'computed',
    'Inspired oxygen pressure = share × (barometric pressure − 6.28 kPa of water at 37 Cel)',
  ),
  BTS_2017: source(
    'BTS_2017',
    'verified',
    "O'Driscoll BR, Howard LS, Earis J, Mak V. BTS guideline for oxygen use in adults in healthcare and emergency settings. BMJ Open Respir Res 2017;4:e000170",
    'Table 4',
  ),
  BTS_2017_NEBULIZER: source(
    'BTS_2017_NEBULIZER',
    'from memory',
    'BTS guideline for oxygen use in adults, Thorax 2017;72(Suppl 1), section on nebulizers',
    'not seen: air-driven with nasal oxygen; oxygen-driven for at most 6 minutes when there is no air',
  ),
  BARDSLEY_2018: source(
    'BARDSLEY_2018',
    'verified',
    'Bardsley G, Pilcher J, McKinstry S, et al. Oxygen versus air-driven nebulisers for exacerbations of chronic obstructive pulmonary disease: a randomised controlled trial. BMC Pulm Med 2018;18:157. doi:10.1186/s12890-018-0720-7',
    'abstract',
  ),
  EDWARDS_2012: source(
    'EDWARDS_2012',
    'verified',
    'Edwards L, Perrin K, Williams M, Weatherall M, Beasley R. Randomised controlled crossover trial of the effect on PtCO2 of oxygen-driven versus air-driven nebulisers in severe COPD. Emerg Med J 2012;29:894-898',
    'abstract, in part',
  ),
} as const satisfies Record<string, Source>
