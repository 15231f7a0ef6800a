/** A record that holds a value for each of the names. */
export function recordOf<K extends string, V>(names: readonly K[], value: (name: K) => V): Record<K, V> {
  return Object.fromEntries(names.map((name) => [name, value(name)])) as Record<K, V>;
}
