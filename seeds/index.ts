// The invented starter workspace: briefs of a pilot brewery that does not exist (see README.md).
// Checked on loading, so that a brief that breaks the contract cannot be shipped. The stock list
// beside it stays a file: stock.csv.
import { briefSchema, type Brief } from '#shared/schemas/brief.ts';
import citrusFloral from './briefs/citrus-floral.json' with { type: 'json' };
import clash from './briefs/clash.json' with { type: 'json' };
import hazy from './briefs/hazy.json' with { type: 'json' };
import lager from './briefs/lager.json' with { type: 'json' };
import nearEmptyFreezer from './briefs/near-empty-freezer.json' with { type: 'json' };
import resinLed from './briefs/resin-led.json' with { type: 'json' };
import tropical from './briefs/tropical.json' with { type: 'json' };

export interface SeedBrief {
  readonly id: string;
  readonly title: string;
  readonly brief: Brief;
}

function seed(id: string, document: { readonly name: string }): SeedBrief {
  return { id, title: document.name, brief: briefSchema.parse(document) };
}

/** The briefs a new workspace starts with; the file is `briefs/<id>.json`. */
export const SEED_BRIEFS: readonly SeedBrief[] = [
  seed('tropical', tropical),
  seed('citrus-floral', citrusFloral),
  seed('resin-led', resinLed),
  seed('clash', clash),
  seed('near-empty-freezer', nearEmptyFreezer),
  seed('lager', lager),
  seed('hazy', hazy),
];
