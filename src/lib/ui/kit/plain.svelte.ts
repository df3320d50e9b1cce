// What a page holds in its reactive state, as plain data for a thread, which takes no proxies.

/** A copy of the data without its reactivity, of the same type. */
export function plain<T>(value: T): T {
  return $state.snapshot(value) as T;
}
