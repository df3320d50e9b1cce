// The brew sheet as one HTML document without scripts, made to be printed: eight stages stay on one A4 page.
// Everything a person typed is escaped.
import type { BrewSheet } from '#shared/answers/sheet.ts';
import type { UnitSystem } from '#shared/units.ts';
import { cautionsOnce, sheetWords, type FigureWords, type StepWords } from './sheet-words.ts';

const MARKS: Readonly<Record<string, string>> = {
  '&': '&amp;',
  '<': '&lt;',
  '>': '&gt;',
  '"': '&quot;',
  "'": '&#39;',
};
const escaped = (text: string) => text.replace(/[&<>"']/g, (mark) => MARKS[mark]!);

const styleOf = (letters: number) => `
@page { size: A4; margin: 9mm 11mm; }
body { font: ${letters}pt/1.17 system-ui, sans-serif; margin: 0 auto;
  max-width: 190mm; color: #111; background: #fff; font-variant-numeric: tabular-nums; }
@media screen { body { padding: 16px; font-size: 15px; line-height: 1.4; } }
h1 { font-size: 1.6em; line-height: 1.1; margin: 0; }
h2 { font-size: 1em; margin: 0 0 1mm; }
p { margin: 0; }
ol, .ends ul { list-style: none; margin: 0; padding: 0; }
ol { margin-top: 2mm; }
li.step { display: grid; grid-template-columns: 4mm 60mm minmax(0, 1fr);
  gap: 2.5mm; padding: 0.7mm 0;
  border-top: 0.3mm solid #bbb; break-inside: avoid; }
.box { width: 3mm; height: 3mm; border: 0.3mm solid #111; margin-top: 0.3mm; }
.title { font-weight: 600; }
b { white-space: nowrap; }
.quiet { color: #555; font-weight: 400; }
.weigh { font-size: 1.06em; display: grid; grid-template-columns: 4.8em minmax(0, 1fr); }
.caution { color: #6b2a00; padding-left: 2mm; border-left: 0.6mm solid #6b2a00; font-size: 0.9em; }
.ends { display: grid; grid-template-columns: 1fr 2fr; gap: 5mm; border-top: 0.3mm solid #111; padding-top: 1.5mm; }
.two { columns: 2; }
.note { white-space: pre-wrap; border: 0.3mm solid #bbb; padding: 1.5mm; margin-top: 2mm; overflow-wrap: anywhere; }
@media (max-width: 500px) { .ends { grid-template-columns: 1fr; } .two { columns: 1; }
  li.step { grid-template-columns: 4mm minmax(0, 1fr); } li.step > :last-child { grid-column: 2; } }
`;

const figuresHtml = (figures: readonly FigureWords[]) =>
  figures
    .map(({ name, value, rests }) => `${escaped(name)} <b>${escaped(value)}</b>${escaped(rests)}`)
    .join(' · ');
const itemsHtml = (figures: readonly FigureWords[]) =>
  figures
    .map(
      ({ name, value, rests }) =>
        `<li>${escaped(name)}: <b>${escaped(value)}</b>${escaped(rests)}</li>`,
    )
    .join('');

function stepHtml({ step, title, days, weigh, figures }: StepWords, cautions: readonly string[]) {
  const rows = weigh
    .map(
      ({ mass, what }) =>
        `<p class="weigh"><b>${escaped(mass)}</b> <span>${escaped(what)}</span></p>`,
    )
    .join('');
  const words = step.instructions.map(escaped).join(' ');
  const warned = cautions.map((c) => `<p class="caution">${escaped(c)}</p>`).join('');
  const place = [days.join(' to '), step.vessel.toLowerCase()]
    .filter(Boolean)
    .map(escaped)
    .join(', ');
  return [
    '<li class="step"><span class="box"></span>',
    `<div><p><span class="title">${escaped(title)}</span> <span class="quiet">${place}</span></p>${rows}</div>`,
    `<div><p>${figuresHtml(figures)}</p><p class="quiet">${words}</p>${warned}</div></li>`,
  ].join('');
}

/** Letters at which eight stages stay on one sheet of A4, pt. */
export const LEAST_LETTERS_PT = 7.7;

/**
 * A whole document.
 * @param letters their size on paper, pt.
 */
export function sheetHtml(
  sheet: BrewSheet,
  system: UnitSystem = 'metric',
  letters = LEAST_LETTERS_PT,
): string {
  const texts = sheetWords(sheet, system);
  const cautions = cautionsOnce(sheet.steps);
  const note = texts.note === '' ? '' : `<div class="note">${escaped(texts.note)}</div>`;
  return `<!doctype html>
<html lang="en">
<head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1"><title>${escaped(texts.title)}</title><style>${styleOf(letters)}</style></head>
<body>
<h1>${escaped(texts.title)}</h1>
<p>${texts.facts.map(escaped).join(', ')}</p>
${note}
<ol>
${texts.steps.map((step, i) => stepHtml(step, cautions[i]!)).join('\n')}
</ol>
<div class="ends">
<section><h2>Expected</h2><ul>${itemsHtml(texts.expected)}</ul></section>
<section><h2>Aroma <span class="quiet">1 just noticeable, 6 dominant; in brackets 10 to 90 %</span></h2><ul class="two">${itemsHtml(texts.profile)}</ul></section>
</div>
${texts.cautions.map((c) => `<p class="caution">${escaped(c)}</p>`).join('')}
</body>
</html>
`;
}
