import type { Source } from '../worked.ts'

/** Where the equations, tables and rules of lung function come from, each written once. */
export const LUNG_SOURCES = {
  NHANES3_1999: {
    key: 'NHANES3_1999',
    cite: 'Hankinson JL, Odencrantz JR, Fedan KB. Spirometric reference values from a sample of the general U.S. population. Am J Respir Crit Care Med 1999;159:179-187. doi:10.1164/ajrccm.159.1.9712108',
    place: 'Tables 4 to 6; coefficients as carried by two public implementations that agree in all 72 rows',
    standing: 'verified-secondary',
  },
  CFR_28_79: {
    key: 'CFR_28_79',
    cite: '28 CFR Part 79 Appendix A, https://ecfr.io/Title-28/Part-79/Appendix-A',
    place: 'lower limits of FVC printed for ages 49 to 81',
    standing: 'verified',
  },
  GLI_2012: {
    key: 'GLI_2012',
    cite: 'Quanjer PH et al. Multi-ethnic reference values for spirometry for the 3-95-yr age range. Eur Respir J 2012;40:1324-1343. doi:10.1183/09031936.00080312',
    place: 'look-up table of coefficients and age splines, as carried by two public implementations',
    standing: 'verified-secondary',
  },
  GLI_GLOBAL_2022: {
    key: 'GLI_GLOBAL_2022',
    cite: 'Bowerman C et al. A race-neutral approach to the interpretation of lung function measurements. Am J Respir Crit Care Med 2023. doi:10.1164/rccm.202205-0963OC',
    place: 'look-up table of coefficients and age splines, as carried by two public implementations',
    standing: 'verified-secondary',
  },
  PSEUDO_Z: {
    key: 'PSEUDO_Z',
    cite: 'Distance from predicted in units of (predicted − lower limit) ÷ 1.645; the 1999 paper itself gives no z-score',
    standing: 'computed',
  },
  ERS_ATS_2022: {
    key: 'ERS_ATS_2022',
    cite: 'Stanojevic S et al. ERS/ATS technical standard on interpretive strategies for routine lung function tests. Eur Respir J 2022;60:2101499. doi:10.1183/13993003.01499-2021',
    place: 'lower limit, severity by z-score, bronchodilator response',
    standing: 'verified-secondary',
  },
  ATS_ERS_2005: {
    key: 'ATS_ERS_2005',
    cite: 'Pellegrino R et al. Interpretative strategies for lung function tests. Eur Respir J 2005;26:948-968. doi:10.1183/09031936.05.00035205',
    place: 'bronchodilator response; severity by percent of predicted (names of the bands from memory)',
    standing: 'verified-secondary',
  },
  GINA_2024: {
    key: 'GINA_2024',
    cite: 'Global Initiative for Asthma. Global Strategy for Asthma Management and Prevention, 2024',
    place:
      'summary of changes: the rule by percent of predicted is not taken over for the diagnosis of asthma',
    standing: 'verified-secondary',
  },
  BEL_2013: {
    key: 'BEL_2013',
    cite: 'Bel EH. Mild asthma. N Engl J Med 2013;369:549-557, as quoted by a secondary text',
    place: 'rise of PEF of 20 % or 60 L/min',
    standing: 'verified-secondary',
  },
  MILLER_2005: {
    key: 'MILLER_2005',
    cite: 'Miller MR et al. Standardisation of spirometry. Eur Respir J 2005;26:319-338. doi:10.1183/09031936.05.00034805',
    place: 'peak flow: two largest within 40 L/min; number of extra blows',
    standing: 'from memory',
  },
  PEF_BEST_OF_THREE: {
    key: 'PEF_BEST_OF_THREE',
    cite: 'RCEM Learning, acute asthma, peak flow topic: best of three; not in a patient who is short of oxygen',
    standing: 'verified',
  },
  FALLING_SERIES: {
    key: 'FALLING_SERIES',
    cite: 'Chest 2003;124:501 (successive drops within a peak-flow session suggest that the effort itself narrows the airways)',
    standing: 'verified',
  },
  GRAHAM_2019: {
    key: 'GRAHAM_2019',
    cite: 'Graham BL et al. Standardization of Spirometry 2019 Update. Am J Respir Crit Care Med 2019;200:e70-e88',
    place: 'repeatability of FVC (read in a copy); the same for FEV1 from memory',
    standing: 'verified-secondary',
  },
  EPR3_ZONES: {
    key: 'EPR3_ZONES',
    cite: 'NAEPP Expert Panel Report 3: Guidelines for the Diagnosis and Management of Asthma. NHLBI 2007',
    place:
      'peak-flow zones at 80 and 50 % of personal best, read in texts that quote it; some centers set red at 60 %',
    standing: 'verified-secondary',
  },
  EPR3_BANDS: {
    key: 'EPR3_BANDS',
    cite: 'NAEPP Expert Panel Report 3: Guidelines for the Diagnosis and Management of Asthma. NHLBI 2007',
    place: 'severity of an attack by PEF or FEV1, as printed in Am Fam Physician 2011;84(1):40',
    standing: 'verified-secondary',
  },
  BTS_SIGN_2019: {
    key: 'BTS_SIGN_2019',
    cite: 'British Thoracic Society, Scottish Intercollegiate Guidelines Network. British guideline on the management of asthma (SIGN 158), 2019',
    place: 'acute attack in adults, PEF as percent of best or predicted',
    standing: 'verified-secondary',
  },
  NUNN_GREGG_1989: {
    key: 'NUNN_GREGG_1989',
    cite: 'Nunn AJ, Gregg I. New regression equations for predicting peak expiratory flow in adults. BMJ 1989;298:1068-1070. doi:10.1136/bmj.298.6680.1068',
    place: 'coefficients seen in a text that quotes the paper; age range from memory',
    standing: 'verified-secondary',
  },
  NUNN_GREGG_LIMITS: {
    key: 'NUNN_GREGG_LIMITS',
    cite: 'Nunn AJ, Gregg I. BMJ 1989;298:1068-1070: 100 L/min below predicted in men, 85 L/min in women',
    standing: 'from memory',
  },
  POLGAR_1971: {
    key: 'POLGAR_1971',
    cite: 'Polgar G, Promadhat V. Pulmonary Function Testing in Children: Techniques and Standards. Saunders 1971',
    place: 'coefficients as carried by a public data file',
    standing: 'verified-secondary',
  },
  HONG_KONG_2013: {
    key: 'HONG_KONG_2013',
    cite: 'A Curvilinear Nomogram of Peak Expiratory Flow Rate for the Young. J Asthma 2013;50:39-44. doi:10.3109/02770903.2012.743152',
    place: 'abstract; the height unit is not stated there, centimeters give plausible values',
    standing: 'verified',
  },
  CHINA_2017: {
    key: 'CHINA_2017',
    cite: 'Lu Y et al. Peak expiratory flow among healthy children aged 5-14 years in China. J Thorac Dis 2017',
    place: 'abstract; the scale of the meter is not stated there',
    standing: 'verified',
  },
  UK_CHILD_TABLE: {
    key: 'UK_CHILD_TABLE',
    cite: 'Godfrey S, Kamburoff PL, Nairn JR. Br J Dis Chest 1970;64:15-24, as adapted to the EU scale on United Kingdom charts',
    standing: 'from memory',
  },
  WRIGHT_TO_EU: {
    key: 'WRIGHT_TO_EU',
    cite: 'Cubic that turns Wright-scale readings into the scale of EN 13826; agrees in sign and size with Miller MR et al. Thorax 1992;47:904-909',
    standing: 'from memory',
  },
  HEIGHT_LIMITS: {
    key: 'HEIGHT_LIMITS',
    cite: 'Standing heights below 80 cm or above 230 cm are taken for a slip of the unit',
    standing: 'design rule',
  },
} as const satisfies Record<string, Source>
