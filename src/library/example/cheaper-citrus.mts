// How another program uses the package: it reads the hop table, has a blend designed, and predicts one of its own.
import { design, hops, predict, type BriefGiven } from 'blendbine';

const offered = hops.filter((hop) => hop.missing.length === 0);
console.log(`${offered.length} of ${hops.length} varieties have figures enough for a design.`);

const brief: BriefGiven = {
  name: 'Citrus, little resin',
  batch: { beer_l: 20, yeast: 'standard', malt_g_per_l: 200 },
  stages: { hot_steep: { temp_c: 80, minutes: 20 }, dry_hop: { temp_c: 16, hours: 72 } },
  target: { citrus: { at_least: 2.5 }, resin: { at_most: 2 } },
  limits: { ibu_at_most: 40, hops_at_most: 3, weigh_step_g: 1 },
  candidates: 'table',
};
const answer = design(brief, { timeLimitMs: 10_000 });
if (!answer.ok) throw new Error(answer.problems.map((p) => `${p.path}: ${p.cure}`).join('\n'));
const [best] = answer.value.blends;
if (!best) throw new Error('There is no blend within these limits.');
console.log(answer.value.status, best.additions.map((a) => `${a.grams} g ${a.hop}`).join(', '));

const given = predict({
  batch: brief.batch,
  stages: brief.stages,
  additions: [{ hop: 'Cascade', form: 'pellet_90', stage: 'dry_hop', grams: 100 }],
});
if (given.ok) console.log(`Cascade alone: citrus ${given.value.axes.citrus.intensity.toFixed(1)}`);
const refused = predict({ ...brief, additions: [] });
console.log(refused.ok ? 'An empty schedule is one too.' : refused.problems[0]?.message);
