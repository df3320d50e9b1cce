// A schedule of as many stages as a document may have: the longest brew sheet.

export const EIGHT_STAGES = {
  name: 'Eight stages',
  batch: {
    beer_l: 20,
    yeast: 'thiol_releasing',
    malt_g_per_l: 210,
    gravity_sg: 1.058,
    co2_vol: 2.5,
  },
  stages: {
    mash: {
      temp_c: 66,
      minutes: 60,
      boil_minutes: 60,
    },
    boil: {
      minutes: 60,
    },
    late: {
      kind: 'boil',
      minutes: 10,
    },
    hot_steep: {
      temp_c: 80,
      minutes: 20,
      closed: false,
    },
    tea: {
      kind: 'hot_steep',
      temp_c: 72,
      minutes: 30,
      closed: true,
      liquor_l: 3,
    },
    early: {
      kind: 'dry_hop',
      temp_c: 19,
      hours: 48,
      mixed: false,
      live_yeast: true,
      day: 2,
    },
    dry_hop: {
      temp_c: 14,
      hours: 72,
      mixed: false,
      live_yeast: false,
    },
    second: {
      kind: 'dry_hop',
      temp_c: 14,
      hours: 48,
      mixed: true,
      live_yeast: false,
    },
  },
  additions: [
    {
      hop: 'Cascade',
      form: 'cone',
      stage: 'mash',
      grams: 40,
    },
    {
      hop: 'Magnum',
      form: 'pellet_90',
      stage: 'boil',
      grams: 12,
      analysis: {
        alpha_pct: 13.2,
      },
    },
    {
      hop: 'Cascade',
      form: 'pellet_90',
      stage: 'late',
      grams: 20,
    },
    {
      hop: 'Citra',
      form: 'pellet_90',
      stage: 'hot_steep',
      grams: 40,
    },
    {
      hop: 'Mosaic',
      form: 'pellet_90',
      stage: 'hot_steep',
      grams: 20,
    },
    {
      hop: 'Citra',
      form: 'pellet_enriched',
      stage: 'tea',
      grams: 20,
    },
    {
      hop: 'Citra',
      form: 'pellet_90',
      stage: 'early',
      grams: 50,
    },
    {
      hop: 'Mosaic',
      form: 'pellet_90',
      stage: 'dry_hop',
      grams: 60,
      package_g: 100,
    },
    {
      hop: 'Simcoe',
      form: 'pellet_90',
      stage: 'dry_hop',
      grams: 40,
    },
    {
      hop: 'Citra',
      form: 'pellet_90',
      stage: 'second',
      grams: 60,
    },
  ],
} as const;
