// The validator, set up before any schema is built: it compiles nothing at run time. The content policy
// of the pages forbids that, and its trying whether it may would already be reported as a breach.
import { z } from 'zod/mini';

z.config({ jitless: true });

export { z };
