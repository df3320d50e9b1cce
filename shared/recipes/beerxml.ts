// BeerXML 1: which of its elements say what of hops, boil and batch. Masses are kilograms, volumes litres,
// times minutes, whatever the screen of the program that wrote it showed.
import { failure, success, type Outcome } from '#shared/outcome.ts';
import type { FormId } from '#shared/ids.ts';
import type { ListedStage } from '#shared/lists/stage-words.ts';
import { kindNamed, KINDS, STAGE_KINDS, type StageKind } from '#shared/stages/kinds.ts';
import {
  analysisOf,
  hopsInPlace,
  round,
  type BatchToWrite,
  type HopToWrite,
  type Standard,
  type RecipeHop,
} from './standard.ts';
import { sgOf } from './gravity.ts';
import { minutesIn, listedStage } from './listed-stage.ts';
import {
  childrenOf,
  element,
  elements,
  group,
  nameOf,
  readXml,
  textIn,
  withChildren,
  withElement,
  xmlText,
  type XmlNode,
  type XmlTree,
} from './xml.ts';

const DECLARATION: XmlNode = {
  '?xml': [{ '#text': '' }],
  ':@': { version: '1.0', encoding: 'UTF-8' },
};

const recipesIn = (document: XmlTree): XmlNode[] => [
  ...elements(document, 'RECIPES').flatMap((all) => elements(childrenOf(all), 'RECIPE')),
  ...elements(document, 'RECIPE'),
];
const firstOf = (document: XmlTree): XmlTree => {
  const [first] = recipesIn(document);
  return first ? childrenOf(first) : [];
};
const textOf = (parent: XmlTree, name: string): string | undefined => {
  const [found] = elements(parent, name);
  return found && textIn(childrenOf(found));
};
/** A figure of an element; `undefined` where it is empty or no number. Adding 0 turns -0 into 0. */
const figureOf = (parent: XmlTree, name: string): number | undefined => {
  const text = textOf(parent, name);
  const figure = text === undefined || text === '' ? NaN : Number(text) + 0;
  return Number.isFinite(figure) ? figure : undefined;
};
const hopsIn = (recipe: XmlTree): XmlNode[] =>
  elements(recipe, 'HOPS').flatMap((all) => elements(childrenOf(all), 'HOP'));

const FORM_OF: Readonly<Record<string, FormId>> = {
  LEAF: 'cone',
  PLUG: 'cone',
  PELLET: 'pellet_90',
};
const NAME_OF: Readonly<Record<FormId, string>> = {
  cone: 'Leaf',
  pellet_90: 'Pellet',
  pellet_enriched: 'Pellet',
};
const useOf = (kind: StageKind) => kindNamed(kind).recipes.beerxml;
const FIRST_WORT = KINDS.boil.practices!.find(({ name }) => name === 'First wort')!;

function stageOf(use: string, minutes: number | undefined): Outcome<ListedStage> {
  switch (use.toUpperCase()) {
    case 'MASH':
      return success(listedStage('mash', {}));
    case 'BOIL':
    case '':
      return success(listedStage('boil', { minutes }));
    case 'FIRST WORT':
      return success(listedStage('boil', {}, FIRST_WORT));
    case 'AROMA':
      return success(listedStage('hot_steep', { minutes }));
    case 'DRY HOP':
      return success(
        listedStage('dry_hop', { hours: minutes === undefined ? undefined : round(minutes / 60) }),
      );
    default: {
      const message = `hops used at "${use}" are no stage of the standard`;
      const cure = `Use one of: ${[...STAGE_KINDS.map(useOf), 'First Wort'].join(', ')}`;
      return failure({ path: 'USE', message, cure });
    }
  }
}

function hopOf(node: XmlNode, index: number): RecipeHop {
  const place = `HOP ${index + 1}`;
  const parts = childrenOf(node);
  const refuse = (field: string, message: string, cure: string) =>
    failure<never>({ path: `${place}, ${field}`, message, cure });
  const hop = textOf(parts, 'NAME') ?? '';
  if (hop === '') return refuse('NAME', 'the name of the hop is missing', 'Name its variety');
  const kilograms = figureOf(parts, 'AMOUNT');
  if (kilograms === undefined) {
    return refuse('AMOUNT', `the amount of ${hop} is missing`, 'Give it in kg');
  }
  const written = textOf(parts, 'FORM') || 'Pellet';
  const key = written.toUpperCase();
  const form = Object.hasOwn(FORM_OF, key) ? FORM_OF[key] : undefined;
  if (form === undefined) {
    const message = `${hop} is given as "${written}", a form not known here`;
    return refuse('FORM', message, 'Use one of: Leaf, Plug, Pellet');
  }
  const stage = stageOf(textOf(parts, 'USE') ?? '', figureOf(parts, 'TIME'));
  if (!stage.ok) return failure(...stage.problems.map((p) => ({ ...p, path: `${place}, USE` })));
  const some = (name: string) => figureOf(parts, name) || undefined;
  const analysis = analysisOf({
    alpha_pct: figureOf(parts, 'ALPHA'),
    beta_pct: some('BETA'),
    cohumulone_pct_of_alpha: some('COHUMULONE'),
    myrcene_pct_of_oil: some('MYRCENE'),
    humulene_pct_of_oil: some('HUMULENE'),
    caryophyllene_pct_of_oil: some('CARYOPHYLLENE'),
  });
  const grams = round(kilograms * 1000);
  return success({ addition: { hop, form, grams, ...analysis }, stage: stage.value });
}

const written = (value: number) => String(round(value));

function hopNode(hop: HopToWrite, raw: XmlNode | undefined): XmlNode {
  const { addition, alpha_pct, use } = hop;
  const { analysis = {} } = addition;
  const figures = Object.entries({
    BETA: analysis.beta_pct,
    COHUMULONE: analysis.cohumulone_pct_of_alpha,
    MYRCENE: analysis.myrcene_pct_of_oil,
    HUMULENE: analysis.humulene_pct_of_oil,
    CARYOPHYLLENE: analysis.caryophyllene_pct_of_oil,
  });
  const firstWort = raw && textOf(childrenOf(raw), 'USE')?.toUpperCase() === 'FIRST WORT';
  const fields: readonly (readonly [string, string])[] = [
    ['NAME', addition.hop],
    ...(raw ? [] : [['VERSION', '1'] as const]),
    ['ALPHA', written(alpha_pct)],
    ['AMOUNT', written(addition.grams / 1000)],
    ['USE', firstWort && use.kind === 'boil' ? 'First Wort' : useOf(use.kind)],
    ['TIME', written(minutesIn(use))],
    ['FORM', NAME_OF[addition.form]],
    ...figures.flatMap(([name, figure]) =>
      figure === undefined ? [] : [[name, written(figure)] as const],
    ),
  ];
  const children = fields.reduce<XmlTree>(
    (all, [name, text]) => withElement(all, element(name, text)),
    // Texts of the old amount or time, which a program wrote for its own screen, are out of date then.
    raw ? childrenOf(raw).filter((node) => !/^DISPLAY_/i.test(nameOf(node))) : [],
  );
  return raw ? withChildren(raw, children) : group('HOP', children);
}

function withHops(document: XmlTree, batch: BatchToWrite, hops: readonly HopToWrite[]): XmlTree {
  const before = firstOf(document);
  const old = hopsIn(before);
  const nodes = hopsInPlace(old, old.map(hopOf), hops, hopNode);
  const texts = [
    ['NAME', batch.name],
    ['BATCH_SIZE', batch.beer_l === undefined ? undefined : written(batch.beer_l)],
    ['OG', batch.gravity_sg === undefined ? undefined : written(batch.gravity_sg)],
    ['CARBONATION', batch.co2_vol === undefined ? undefined : written(batch.co2_vol)],
    ['NOTES', batch.notes],
  ] as const;
  const changed = texts.reduce<XmlTree>(
    (all, [name, text]) => (text === undefined ? all : withElement(all, element(name, text))),
    before,
  );
  const inside = nodes === old ? changed : withElement(changed, group('HOPS', nodes));
  const [first] = recipesIn(document);
  const replace = (tree: XmlTree): XmlTree =>
    tree.map((node) => {
      if (node === first) return withChildren(node, inside);
      return nameOf(node).toUpperCase() === 'RECIPES'
        ? withChildren(node, replace(childrenOf(node)))
        : node;
    });
  return replace(document);
}

export const beerXml: Standard<XmlTree> = {
  format: 'beerxml',
  name: 'BeerXML',
  read: (text) => {
    const tree = readXml(text);
    if (!tree.ok) return tree;
    if (recipesIn(tree.value).length > 0) return tree;
    const cure = 'Export a recipe: hops and malts alone are no recipe';
    return failure({ path: 'RECIPES', message: 'there is no RECIPE in it', cure });
  },
  empty: () => [
    DECLARATION,
    group('RECIPES', [
      group('RECIPE', [
        element('NAME', ''),
        element('VERSION', '1'),
        element('TYPE', 'All Grain'),
        element('BREWER', ''),
        ...['HOPS', 'FERMENTABLES', 'MISCS', 'YEASTS', 'WATERS'].map((name) => group(name, [])),
      ]),
    ]),
  ],
  count: (document) => recipesIn(document).length,
  batch: (document) => {
    const recipe = firstOf(document);
    const beer_l = figureOf(recipe, 'BATCH_SIZE');
    const malts = elements(recipe, 'FERMENTABLES').flatMap((all) =>
      elements(childrenOf(all), 'FERMENTABLE').map((malt) => figureOf(childrenOf(malt), 'AMOUNT')),
    );
    const malt_g = malts.reduce<number>((sum, kilograms = 0) => sum + kilograms * 1000, 0);
    const gravity_sg = sgOf(figureOf(recipe, 'OG'));
    const co2_vol = figureOf(recipe, 'CARBONATION');
    return {
      name: textOf(recipe, 'NAME') ?? '',
      ...(beer_l !== undefined && beer_l > 0 && { beer_l }),
      ...(malt_g > 0 && { malt_g }),
      ...(gravity_sg !== undefined && { gravity_sg }),
      ...(co2_vol !== undefined && co2_vol > 0 && { co2_vol }),
      notes: textOf(recipe, 'NOTES') ?? '',
    };
  },
  hops: (document) => hopsIn(firstOf(document)).map(hopOf),
  with: withHops,
  text: (document) => {
    const text = xmlText(document);
    return text.endsWith('\n') ? text : `${text}\n`;
  },
};
