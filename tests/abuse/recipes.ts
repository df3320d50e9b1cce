// Hostile recipes of the open standards: parts changed, entities and document types, nesting without end, names of
// prototypes, strange encodings. What is read goes out as it came, and comes back the same from either standard.
import { isDeepStrictEqual } from 'node:util';
import { textOfFile } from '#shared/reading/text-file.ts';
import { readRecipe, writeRecipe } from '#shared/recipes/recipes.ts';
import type { Schedule } from '#shared/schemas/brief.ts';
import { RECIPE_FORMATS, type RecipeFormat } from '#shared/schemas/recipe.ts';
import { documentText, mutatedText, type Draw } from './hostile.ts';
import { must, same, sound, type Ran } from './laws.ts';

const amount = (unit: string, value: number) => ({ unit, value });
const hop = (name: string, timing: object, more: object = {}) => ({
  name,
  alpha_acid: amount('%', 8),
  amount: amount('g', 40),
  timing,
  ...more,
});
const BEERJSON = {
  beerjson: {
    version: 2.06,
    recipes: [
      {
        name: 'Kölsch',
        type: 'all grain',
        author: 'A',
        batch_size: amount('l', 20),
        efficiency: { brewhouse: amount('%', 70) },
        original_gravity: amount('plato', 12),
        ingredients: {
          fermentable_additions: [{ name: 'Malt', amount: amount('kg', 4), own_field: [1, 'x'] }],
          hop_additions: [
            hop('Magnum', { use: 'add_to_boil', duration: amount('min', 60) }),
            hop('Citra', { use: 'add_to_boil', step: 2 }, { form: 'leaf', own_field: null }),
            hop('Saaz', { use: 'add_to_fermentation', duration: amount('day', 3) }),
            hop('Mosaic', { use: 'add_to_mash' }, { oil_content: { total_oil_ml_per_100g: 2 } }),
          ],
        },
        boil: {
          boil_time: amount('min', 60),
          boil_steps: [{ name: 'Boil' }, { name: 'Steep', start_temperature: amount('F', 176) }],
        },
        notes: 'a\nb',
      },
    ],
  },
};

const BEERXML = `<?xml version="1.0" encoding="ISO-8859-1"?>
<!-- by another program --><RECIPES><RECIPE a="1"><NAME>K&#246;lsch</NAME><VERSION>1</VERSION>
<BATCH_SIZE>20</BATCH_SIZE><OG>1.05</OG><CARBONATION>2.4</CARBONATION><HOPS>
<HOP><NAME>Magnum</NAME><ALPHA>12</ALPHA><AMOUNT>0.02</AMOUNT><USE>Boil</USE><TIME>60</TIME></HOP>
<HOP><NAME>Citra</NAME><ALPHA>12.5</ALPHA><AMOUNT>0.08</AMOUNT><USE>Dry Hop</USE><TIME>4320</TIME>
<FORM>Leaf</FORM><HSI>30</HSI><X-OWN>kept</X-OWN></HOP>
<HOP><NAME>Saaz</NAME><ALPHA>3</ALPHA><AMOUNT>0.05</AMOUNT><USE>Aroma</USE><TIME>20</TIME></HOP>
</HOPS><FERMENTABLES><FERMENTABLE><NAME>Malt</NAME><AMOUNT>4</AMOUNT></FERMENTABLE></FERMENTABLES>
<NOTES><![CDATA[a < b]]> &lt;c&gt;</NOTES></RECIPE></RECIPES>`;

const bomb = (rounds: number) =>
  `<!DOCTYPE r [<!ENTITY a0 "ha">${Array.from(
    { length: rounds },
    (_, i) => `<!ENTITY a${i + 1} "&a${i};&a${i};&a${i};&a${i};">`,
  ).join('')}]>`;
/** Put into a text at a place of its own. */
const PIECES = [
  ...[bomb(12), '<!DOCTYPE r SYSTEM "file:///etc/hostname">', '<!ENTITY x SYSTEM "http://h/">'],
  ...['&a12;', '&#0;', '&#x110000;', '&#xD800;', '&#99999999;', '&lt', '&nbsp;', '&amp;amp;'],
  ...['<__proto__>1</__proto__>', '<constructor/>', '<toString>x</toString>', '<HOP/>', '<A:B/>'],
  ...[
    '<![CDATA[',
    ']]>',
    '<!--',
    '-->',
    '<?php x ?>',
    '<?xml-stylesheet href="a"?>',
    '<a b="1" b="2"/>',
  ],
  ...[
    '<HOPS>',
    '</HOPS>',
    '<HOP><NAME>Saaz</NAME></HOP>',
    '<AMOUNT>1e999</AMOUNT>',
    '<USE>?</USE>',
  ],
  ...['<BATCH_SIZE>-20</BATCH_SIZE>', '<TIME>NaN</TIME>', '<ALPHA>1,5</ALPHA>', '\u0000', '\uFFFF'],
  ...['<A>'.repeat(90), `${'<A>'.repeat(70)}${'</A>'.repeat(70)}`, '"__proto__":{"x":1},'],
  ...['{"hop_schedule":{},"alpha_pct":[]}', '\n{"hop_schedule":{"additions":[]}}\n', '"step":1e9,'],
];

function withPiece(draw: Draw, text: string): string {
  const at = draw.chance(0.5)
    ? draw.place(text.length)
    : text.indexOf('<', draw.below(text.length));
  return text.slice(0, at) + draw.of(PIECES) + text.slice(at);
}

function xmlText(draw: Draw): string {
  let text = BEERXML;
  if (draw.chance(0.5)) {
    // Whole elements changed: another figure, a doubled or a dropped one.
    text = text.replace(/<([A-Z_]+)>([^<>]*)<\/\1>/g, (whole, name: string) =>
      draw.chance(0.85)
        ? whole
        : draw.of([
            '',
            whole + whole,
            `<${name}>${draw.of(['-1', '1e9', '0', 'x', ''])}</${name}>`,
          ]),
    );
  }
  for (let pieces = draw.below(3); pieces > 0; pieces -= 1) text = withPiece(draw, text);
  return draw.chance(0.3) ? mutatedText(draw, text) : text;
}

function jsonText(draw: Draw): string {
  const text = documentText(draw, BEERJSON);
  return draw.chance(0.2) ? withPiece(draw, text) : text;
}

/** As a file on some disk. */
function bytesOf(draw: Draw, text: string): Uint8Array {
  const order = (letters: string) => Buffer.from(`\uFEFF${letters}`, 'utf16le');
  return draw.of([
    () => Buffer.from(text),
    () => Buffer.from(`\uFEFF${text}`),
    () => order(text),
    () => order(text).swap16(),
    () => Buffer.from(text, 'latin1'),
  ])();
}

const withoutRecipe = ({ recipe: _, ...schedule }: Schedule) => schedule;
const alphaOf = () => 9;
/**
 * A document but for what may change: its first line, line ends, blanks inside a tag and around the whole (XML
 * 1.0, Misc), empty elements, dashes.
 */
const letters = (xml: string) =>
  xml
    .replace(/^\uFEFF?\s*<\?xml\s[^>]*>/, '')
    .replaceAll('\r\n', '\n')
    .replace(/\s+(?=<RECIPES)|(?<=<\/RECIPES>)\s+/g, '')
    .replace(/<([^\s<>/!?]+)([^<>]*?)\s*\/>/g, '<$1$2></$1>')
    .replace(/<(\/?[^\s<>/!?][^<>]*?)\s+>/g, '<$1>')
    .replace(/<([^\s<>/!?]+)\s+(?=[^<>]*>)/g, '<$1 ')
    .replace(/- ?-/g, '')
    .trim();

/** What is read of a text in either standard. */
export function recipeCase(draw: Draw, format: RecipeFormat): Ran {
  const drawn = format === 'beerjson' ? jsonText(draw) : xmlText(draw);
  const file = sound(textOfFile(bytesOf(draw, drawn), 'a recipe'));
  const text = file?.text ?? drawn;
  const read = sound(readRecipe(format, text));
  must(Object.keys(Object.prototype).length === 0, 'no prototype is written to', text);
  if (!read) return { text, taken: false };
  const { schedule } = read;
  const own = withoutRecipe(schedule);
  for (const other of RECIPE_FORMATS) {
    if (other !== format && draw.chance(0.6)) continue;
    const written = sound(writeRecipe(other, schedule, alphaOf));
    must(written !== undefined, 'what is read can be written', [other, text]);
    const back = sound(readRecipe(other, written!));
    must(back !== undefined, 'what is written can be read', [other, written]);
    same(withoutRecipe(back!.schedule), own);
    if (other !== format) continue;
    const unchanged =
      format === 'beerjson'
        ? isDeepStrictEqual(JSON.parse(written!), JSON.parse(text.replace(/^\uFEFF/, '')))
        : letters(written!) === letters(text);
    must(unchanged, 'a recipe that nobody changed goes out as it came', [text, written]);
  }
  return { text, taken: true };
}
