// The validator, set up before any schema is built, so that it compiles nothing at run time. The content policy of
// the pages forbids compiling, and even the validator's test whether it may compile would be reported as a breach.
// Schemas are built on first use, because a page shows its first view without most of them.
import { z } from 'zod/mini';

z.config({ jitless: true });

export { z };

/**
 * A schema that is built on first use. A schema derived from it, as by `extend`, builds it at once, so it has to be
 * wrapped as well.
 */
// @__NO_SIDE_EFFECTS__
export function onFirstUse<Schema extends z.core.$ZodType>(build: () => Schema): Schema {
  let built: Schema | undefined;
  const whole = (): Schema => {
    if (built) return built;
    built = build();
    // The registry finds descriptions by schema object, so the stand-in gets that of the schema it stands for.
    const said = z.globalRegistry.get(built);
    if (said) z.globalRegistry.add(late, said);
    return built;
  };
  const late = new Proxy({} as Schema, {
    get: (_, name): unknown => Reflect.get(whole(), name),
    has: (_, name) => name in whole(),
  });
  return late;
}
