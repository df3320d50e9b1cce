// Every page arrives with the starter workspace; what was kept in the browser replaces it.
import type { LayoutServerLoad } from './$types';
import { starter } from './starter.server.ts';

export const load: LayoutServerLoad = () => ({ starter });
