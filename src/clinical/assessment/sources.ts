import type { Source } from '../worked.ts'

/** Where the scores, ranges and sizes of bedside assessment come from. Rule documents carry their own. */
export const ASSESSMENT_SOURCES = {
  RCP_2017: {
    key: 'RCP_2017',
    cite: 'Royal College of Physicians. National Early Warning Score (NEWS) 2: Standardising the assessment of acute-illness severity in the NHS. Updated report of a working party. London: RCP, 2017. The score is the work of the Royal College of Physicians, which is gratefully acknowledged; its charts are not reproduced here.',
    place: 'Chart 1 (points), Chart 4 (response); risk words and the row for 1 to 4 from memory',
    standing: 'verified',
  },
  RCP_LIMITS: {
    key: 'RCP_LIMITS',
    cite: 'NEWS2 is for patients of 16 years and over who are not pregnant',
    standing: 'from memory',
  },
  MISSING_RULE: {
    key: 'MISSING_RULE',
    cite: 'A part that was not measured gives no total, only "at least"; a value with more decimals than a band has is refused',
    standing: 'design rule',
  },
  PRAM_2008: {
    key: 'PRAM_2008',
    cite: 'Ducharme FM et al. The Pediatric Respiratory Assessment Measure: a valid clinical score for assessing acute asthma severity from toddlers to teenagers. J Pediatr 2008;152:476-480; first as Chalut DS, Ducharme FM, Davis GM. J Pediatr 2000;137:762-768',
    place:
      'points as printed in PMC4614088, Table 4 and Allergy Asthma Clin Immunol 2018, s13223-018-0279-0, Table 4, which agree',
    standing: 'verified',
  },
  RIES_2005: {
    key: 'RIES_2005',
    cite: 'Ries AL. Minimally clinically important difference for the UCSD Shortness of Breath Questionnaire, Borg scale, and visual analog scale. COPD 2005;2:105-110',
    place: 'abstract: 1 unit of the modified Borg scale',
    standing: 'verified',
  },
  OXBERRY_2012: {
    key: 'OXBERRY_2012',
    cite: 'Oxberry SG et al. Minimally clinically important difference in chronic breathlessness: every little helps. Am Heart J 2012;164:229-235',
    place: 'abstract: 1 point of a 0 to 10 rating, in chronic heart failure',
    standing: 'verified',
  },
  WYSHAM_2015: {
    key: 'WYSHAM_2015',
    cite: 'Wysham NG et al. Practical dyspnea assessment: relationship between the 0-10 numerical rating scale and the four-level categorical verbal descriptor scale of dyspnea intensity. J Pain Symptom Manage 2015;50:480-487',
    place: 'abstract: 0 none, 1 to 4 mild, 5 to 8 moderate, 9 to 10 severe',
    standing: 'verified',
  },
} as const satisfies Record<string, Source>
