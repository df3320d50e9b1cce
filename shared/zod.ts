// The validator, set up before any schema is built: it compiles nothing at run time. The content policy
// of the pages forbids that, and its trying whether it may would already be reported as a breach.
// Schemas are built when they are first asked: a page shows its first view without most of them.
import { z } from 'zod/mini';

z.config({ jitless: true });

export { z };

/**
 * A schema that is built when something is first asked of it. One made of it in turn, as by `extend`, asks at
 * once, so that it is wrapped as well.
 */
// @__NO_SIDE_EFFECTS__
export function onFirstUse<Schema extends z.core.$ZodType>(build: () => Schema): Schema {
  let built: Schema | undefined;
  const whole = (): Schema => {
    if (built) return built;
    built = build();
    // Descriptions are kept by schema, and this one stands for what is built.
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
