// The committed tables are those the build makes, and they hold as much as they claim to.
import { csvParse } from 'd3';
import { describe, expect, it } from 'vitest';
import { z } from '#shared/zod.ts';
import { OUTPUTS, generate } from '#data/build/generate.ts';
import { COMPOUNDS, FORMS, REQUIRED_ANALYTES } from '#shared/ids.ts';
import {
  compoundSchema,
  descriptorSchema,
  hopSchema,
  parameterSchema,
  sourceSchema,
  type Cell,
} from '#shared/schemas/tables.ts';
import { built, fileText, inputs } from './inputs.ts';

describe('generated files', () => {
  it.each(OUTPUTS)('data/%s is what the build makes', (file) => {
    expect(fileText(file)).toBe(built.files[file]);
  });

  it('does not depend on the order of the measurements', () => {
    const [header, ...rows] = inputs['measurements.csv'].trimEnd().split('\n');
    const reversed = [header, ...rows.reverse()].join('\n');
    const again = generate({ ...inputs, 'measurements.csv': reversed });
    expect(again.ok && again.value.files).toEqual(built.files);
  });

  it('fits the shared schemas', () => {
    const json = (file: string): unknown => JSON.parse(fileText(`generated/${file}`));
    const keyed = (schema: z.ZodMiniObject) => z.record(z.string(), schema);
    z.array(hopSchema).parse(json('hops.json'));
    z.array(descriptorSchema).parse(json('descriptors.json'));
    z.record(z.string(), parameterSchema).parse(json('parameters.json'));
    keyed(sourceSchema).parse(json('sources.json'));
    const compounds = z.array(compoundSchema).parse(json('compounds.json'));
    expect(compounds.map(({ id }) => id)).toEqual(COMPOUNDS);
  });

  it('says where a source was published as a sentence begins', () => {
    const sources = z
      .record(z.string(), sourceSchema)
      .parse(JSON.parse(fileText('generated/sources.json')));
    for (const { id, where } of Object.values(sources)) {
      expect(where, id).toMatch(/^($|[\p{Lu}\d])/u);
      expect(where, id).not.toMatch(/^(None|Web)$/);
    }
  });

  it('keys objects by the id of the record', () => {
    for (const file of ['parameters', 'sources']) {
      const table = JSON.parse(fileText(`generated/${file}.json`)) as Record<
        string,
        { id: string }
      >;
      for (const [key, record] of Object.entries(table)) expect(record.id).toBe(key);
    }
  });
});

describe('coverage', () => {
  const varietyNames = new Set(built.hops.map(({ name }) => name));

  it('offers at least 80 varieties with all six required figures', () => {
    const given = (cell: Cell | undefined) => cell !== undefined && cell.status !== 'estimated';
    const offered = built.hops.filter((hop) =>
      REQUIRED_ANALYTES.every((analyte) => given(hop.cells[analyte])),
    );
    expect(offered.length).toBeGreaterThanOrEqual(80);
    for (const hop of built.hops) expect(hop.missing.length === 0).toBe(offered.includes(hop));
  });

  it('drops no variety that was measured', () => {
    const measured = csvParse(inputs['measurements.csv']).map((row) => row['variety'] ?? '');
    const single = [...new Set(measured)].filter((name) => !name.startsWith('GROUP '));
    expect(single.length).toBeGreaterThan(100);
    expect(single.filter((name) => !varietyNames.has(name))).toEqual([]);
  });

  it('estimates no alpha or beta acids, no total oil and no bound thiol', () => {
    const never = [
      ...(['alpha_pct', 'total_oil_ml_per_100g'] as const),
      ...(['beta_pct', 'cohumulone_pct_of_alpha', 'g_sh3_mg_per_kg', 'cys_sh3_mg_per_kg'] as const),
    ];
    for (const hop of built.hops) {
      for (const analyte of never) expect(hop.cells[analyte]?.status).not.toBe('estimated');
    }
  });

  it('names the estimate behind every estimated cell, and only there', () => {
    const ids = new Set(built.estimators.map(({ id }) => id));
    for (const hop of built.hops) {
      for (const cell of Object.values(hop.cells)) {
        expect(cell.status === 'estimated').toBe(cell.estimate !== undefined);
        if (cell.estimate !== undefined) expect(ids).toContain(cell.estimate);
      }
    }
  });

  it('calls few varieties rich in bound 3SH, and sells every one as type 90 pellets', () => {
    const rich = built.hops.filter((hop) => hop.precursor.tendency === 'high');
    expect(rich.map(({ name }) => name)).toEqual([
      ...['Calypso', 'Cascade', 'Hallertauer Tradition', 'Perle', 'Saaz'],
    ]);
    for (const hop of built.hops) {
      expect(hop.forms).toContain('pellet_90');
      expect(hop.forms.every((form) => FORMS.includes(form))).toBe(true);
    }
  });
});
