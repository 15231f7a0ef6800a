/** Hands on what arrives in any order by index, from 0 upwards without a gap, as soon as it can. */
export function inOrder<T>(handOn: (value: T, index: number) => void): (value: T, index: number) => void {
  const waiting = new Map<number, T>();
  let next = 0;
  return (value, index) => {
    waiting.set(index, value);
    for (let ready = waiting.get(next); ready !== undefined; ready = waiting.get(next)) {
      waiting.delete(next);
      handOn(ready, next++);
    }
  };
}
