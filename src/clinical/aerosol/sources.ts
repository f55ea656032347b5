import type { Source, Standing } from '../worked.ts'

function source<Key extends string>(key: Key, standing: Standing, cite: string, place?: string): Source {
  return { key, standing, cite, ...(place !== undefined && { place }) }
}

/** Every source that this subject rests on, each written once. `place` says what part of it was read. */
export const AEROSOL_SOURCES = {
  SONNTAG_1990: source(
    'SONNTAG_1990',
    'verified-secondary',
    'Sonntag D. Z Meteorol 1990;70:340-344: Magnus form with the constants recommended by the WMO in 2008',
    'constants read in the manual of the R package bigleaf, Esat.slope',
  ),
  SONNTAG_1990_ICE: source(
    'SONNTAG_1990_ICE',
    'from memory',
    'Sonntag D. Z Meteorol 1990;70:340-344: Magnus form over ice; agrees with PsychroLib within 0.15 Cel down to -40 Cel',
  ),
  PSYCHROLIB: source(
    'PSYCHROLIB',
    'verified',
    'PsychroLib (equations of the ASHRAE Handbook - Fundamentals 2017, chapter 1), package psychrolib 1.1.1',
    'run; the test beside each formula runs it again',
  ),
  WATER_PROPERTIES: source(
    'WATER_PROPERTIES',
    'from memory',
    'Latent heat of water 2500.9 - 2.381 T J/g (0 to 40 Cel); heat capacity of water 4.19 J/g/K',
  ),
  GAS_PROPERTIES: source(
    'GAS_PROPERTIES',
    'from memory',
    'Molar mass and molar heat capacity of air, oxygen and helium; mixtures weighted by mole',
  ),
  CLAY_LANCET_1983: source(
    'CLAY_LANCET_1983',
    'verified',
    'Clay MM, Pavia D, Newman SP, et al. Assessment of jet nebulisers for lung aerosol therapy. Lancet 1983;2:592-594. doi:10.1016/S0140-6736(83)90679-7',
    'abstract',
  ),
  CLAY_THORAX_1983: source(
    'CLAY_THORAX_1983',
    'verified',
    'Clay MM, Pavia D, Newman SP, Clarke SW. Factors influencing the size distribution of aerosols from jet nebulisers. Thorax 1983;38:755-759. doi:10.1136/thx.38.10.755',
    'abstract',
  ),
  DENNIS_1990: source(
    'DENNIS_1990',
    'verified',
    'Dennis JH, Stenton SC, Beach JR, et al. Jet and ultrasonic nebuliser output: use of a new method for direct measurement of aerosol output. Thorax 1990;45:728-732. doi:10.1136/thx.45.10.728',
    'abstract',
  ),
  PHIPPS_1990: source(
    'PHIPPS_1990',
    'verified',
    'Phipps PR, Gonda I. Droplets produced by medical nebulizers: some factors affecting their size and solute concentration. Chest 1990;97:1327-1332. doi:10.1378/chest.97.6.1327',
    'abstract; parts of methods, results and discussion through a re-posting',
  ),
  MALONE_1993: source(
    'MALONE_1993',
    'verified',
    'Optimal duration of nebulized albuterol therapy. Chest 1993;104:1114-1118. doi:10.1378/chest.104.4.1114',
    'abstract',
  ),
  HESS_1996: source(
    'HESS_1996',
    'verified',
    'Hess D, Fisher D, Williams P, Pooler S, Kacmarek RM. Medication nebulizer performance. Effects of diluent volume, nebulizer flow, and nebulizer brand. Chest 1996;110:498-505',
    'abstract',
  ),
  KENDRICK_1997: source(
    'KENDRICK_1997',
    'verified',
    'Kendrick AH, Smith EC, Wilson RSE. Selecting and using nebuliser equipment. Thorax 1997;52(Suppl 2):S92-S101',
    'first page',
  ),
  KLEINSTREUER_2014: source(
    'KLEINSTREUER_2014',
    'verified',
    'Kleinstreuer C, Feng Y, Childress E. Drug-targeting methodologies with applications: a review. World J Clin Cases 2014;2:742-756. doi:10.12998/wjcc.v2.i12.742',
    'Table 1',
  ),
  LIN_2007: source(
    'LIN_2007',
    'verified',
    'Lin HL, Restrepo RD, Gardenhire DS, Rau JL. Effect of face mask design on inhaled mass of nebulized albuterol, using a pediatric breathing model. Respir Care 2007;52:1021-1026',
    'abstract',
  ),
  MANSOUR_2012: source(
    'MANSOUR_2012',
    'verified',
    'Mansour MM, Smaldone GC. Blow-by as potential therapy for uncooperative children: an in-vitro study. Respir Care 2012;57:2004-2011. doi:10.4187/respcare.01653',
    'abstract',
  ),
  LEWIS_1985: source(
    'LEWIS_1985',
    'verified',
    'Lewis RA, Fleming JS. Fractional deposition from a jet nebulizer: how it differs from a metered dose inhaler. Br J Dis Chest 1985;79:361-367. doi:10.1016/0007-0971(85)90069-5',
    'abstract',
  ),
  HATLEY_2017: source(
    'HATLEY_2017',
    'verified',
    'Hatley RHM, Byrne SM. Variability in delivered dose and respirable delivered dose from nebulizers: are current regulatory testing guidelines sufficient to produce meaningful information? Med Devices (Auckl) 2017;10:17-28',
    'abstract',
  ),
  COLLIS_1990: source(
    'COLLIS_1990',
    'verified',
    'Collis GG, Cole CH, Le Souef PN. Dilution of nebulised aerosols by air entrainment in children. Lancet 1990;336:341-343. doi:10.1016/0140-6736(90)91880-J',
    'abstract',
  ),
  MCPECK_1997: source(
    'MCPECK_1997',
    'verified',
    'McPeck M, Tandon R, Hughes K, Smaldone GC. Aerosol delivery during continuous nebulization. Chest 1997;111:1200-1205',
    'abstract, cut off before the pediatric large-volume figures',
  ),
  BERLINSKI_1998: source(
    'BERLINSKI_1998',
    'verified',
    'Berlinski A, Waldrep JC. Four hours of continuous albuterol nebulization. Chest 1998;114:847-853',
    'abstract',
  ),
  VOLUME_OUTPUT: source(
    'VOLUME_OUTPUT',
    'verified',
    'Comparison of volume output from two different continuous nebulizer systems. Ann Allergy Asthma Immunol 1996 (journal and year from memory)',
    'abstract',
  ),
  BESBES_2000: source(
    'BESBES_2000',
    'verified',
    'Besbes-Ouanes L, et al. Continuous versus intermittent nebulization of salbutamol in acute severe asthma. Ann Emerg Med 2000;36:198-203. doi:10.1067/mem.2000.109169',
    'abstract',
  ),
  PT_2016: source(
    'PT_2016',
    'verified',
    'P&T 2016;41(11), Table 3: bronchodilator doses in acute asthma, after NAEPP EPR-3. PMC5083078',
    'Table 3',
  ),
  SONG_2021: source(
    'SONG_2021',
    'verified-secondary',
    'In vitro delivery efficiencies of nebulizers for different breathing patterns. BioMed Eng OnLine 2021;20, s12938-021-00895-3',
    'abstract and introduction, which quotes 10 to 15 % to the lung',
  ),
  PATTERNS: source(
    'PATTERNS',
    'from memory',
    'Breathing patterns of ISO 27427, EN 13544-1, USP <1601> and Ph. Eur. 2.9.44',
    'that the adult default is one sine pattern was read; the figures were not',
  ),
  HINDS_1999: source(
    'HINDS_1999',
    'verified-secondary',
    'Hinds WC. Aerosol Technology, 2nd ed. Wiley 1999, chapter 11: fits to the ICRP model of 1994',
    'coefficients read in three independent open-source implementations',
  ),
  ICRP_66: source(
    'ICRP_66',
    'verified-secondary',
    'ICRP. Human Respiratory Tract Model for Radiological Protection. ICRP Publication 66. Ann ICRP 1994;24(1-3)',
    'coefficients read in three open-source files and set right against the reference-worker table, itself known from memory',
  ),
  STAHLHOFEN_1989: source(
    'STAHLHOFEN_1989',
    'from memory',
    'Stahlhofen W, Rudolf G, James AC. Intercomparison of experimental regional aerosol deposition data. J Aerosol Med 1989;2:285-308',
  ),
  HATCH_CHOATE: source(
    'HATCH_CHOATE',
    'computed',
    'Lognormal size distribution; count median from mass median after Hatch and Choate',
  ),
  ABRAMOWITZ_STEGUN: source(
    'ABRAMOWITZ_STEGUN',
    'from memory',
    'Abramowitz M, Stegun IA. Handbook of Mathematical Functions',
    '7.1.26, largest error 1.5e-7; the test beside it integrates the density instead',
  ),
  BALANCE: source('BALANCE', 'computed', 'Balance of water, medicine and heat, from stated definitions'),
  OCALLAGHAN_2007: source(
    'OCALLAGHAN_2007',
    'verified',
    'The effects of heliox on the output and particle-size distribution of salbutamol using jet and vibrating mesh nebulizers. J Aerosol Med 2007',
    'abstract: less output at the same flow; how much less is from memory',
  ),
  USUAL_FIGURES: source(
    'USUAL_FIGURES',
    'from memory',
    'Usual figures of jet nebulizers: droplet rate, droplet size and spread, heat exchange, share past a mouthpiece or a mask',
  ),
  CALIBRATION: source(
    'CALIBRATION',
    'design rule',
    'Bayes rule on a grid: the published spread as prior, the charted runs as evidence, errors after Student with 4 degrees of freedom',
  ),
} as const satisfies Record<string, Source>

export type AerosolSourceKey = keyof typeof AEROSOL_SOURCES
