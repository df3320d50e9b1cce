// Recipes in XML that is broken, or made to harm: each is refused with its cure, and none makes the reader throw.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { beerXml } from '#shared/recipes/beerxml.ts';
import { scheduleFrom } from '#shared/recipes/recipe.ts';

describe('hostile XML', () => {
  const refused = (text: string) => {
    const outcome = scheduleFrom(beerXml, text);
    expect(outcome.ok).toBe(false);
    return outcome.ok ? '' : outcome.problems.map((p) => `${p.message}. ${p.cure}`).join(' ');
  };

  it('expands no entity', () => {
    const bomb = `<?xml version="1.0"?><!DOCTYPE r [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;">]><RECIPES>&b;</RECIPES>`;
    expect(refused(bomb)).toMatch(/document type/);
  });

  it('refuses what is nested without end, cut off, or no recipe', () => {
    expect(refused(`${'<A>'.repeat(5000)}${'</A>'.repeat(5000)}`)).toMatch(/./);
    expect(refused('<RECIPES><RECIPE>')).toMatch(/line 1/);
    expect(refused('<RECIPES></RECIPES>')).toMatch(/no RECIPE/);
    expect(refused('')).toMatch(/./);
    expect(refused('<RECIPES><RECIPE><NAME>x</ NAME></RECIPE></RECIPES>')).toMatch(/blank before/);
  });

  it('refuses what it would lose: odd instructions, two dashes in a comment', () => {
    const holding = (part: string) => `<RECIPES>${part}<RECIPE><NAME>x</NAME></RECIPE></RECIPES>`;
    for (const odd of ['href="a"<A:B/>', 'href="a{"b":[]}"', 'href="a"&#xD800;', 'href="""a"']) {
      expect(refused(holding(`<?xml-stylesheet ${odd}?>`))).toMatch(/instruction .* Remove/);
    }
    expect(refused(holding('<!-- a <!---->'))).toMatch(/comment holds -- .* Write one/);
    const kept = holding(`<?xml-stylesheet href="a" type='b'?><!-- a - b -->`);
    expect(refused(kept)).toMatch(/^the batch size is missing/);
  });

  it('never throws, 500 texts made of its own pieces', () => {
    const piece = fc.constantFrom(
      ...[
        '<RECIPES>',
        '</RECIPES>',
        '<RECIPE>',
        '</RECIPE>',
        '<HOPS>',
        '</HOPS>',
        '<HOP>',
        '</HOP>',
        '<NAME>',
      ],
      ...[
        '</NAME>',
        '<AMOUNT>',
        '</AMOUNT>',
        '1e999',
        '-5',
        '&#x110000;',
        '&amp;',
        '__proto__',
        '<constructor/>',
      ],
      ...[
        '<![CDATA[',
        ']]>',
        '<!--',
        '-->',
        '<BATCH_SIZE>20</BATCH_SIZE>',
        '<USE>Boil</USE>',
        '\u0000',
        'Citra',
      ],
    );
    fc.assert(
      fc.property(fc.array(piece, { maxLength: 40 }), (pieces) => {
        const outcome = scheduleFrom(beerXml, pieces.join(''));
        if (!outcome.ok) for (const { cure } of outcome.problems) expect(cure).not.toBe('');
      }),
      { seed: 5, numRuns: 500 },
    );
  });
});
