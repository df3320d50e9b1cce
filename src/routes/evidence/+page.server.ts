// Runs once, at build time: everything the predictions stand on, so that no other page carries it.
import { EVIDENCE_TABLES, STATUS_SHARES } from '#state/reference/evidence-tables.ts';
import type { PageServerLoad } from './$types';

export const load: PageServerLoad = () => ({ tables: EVIDENCE_TABLES, shares: STATUS_SHARES });
