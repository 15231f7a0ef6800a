import { expect } from 'vitest';
import { InputError } from '../../src/geometry/input-error.ts';

/** A scan is refused for the right reason, and the message is for people: one or two lines. */
export async function expectRefusal(reading: Promise<unknown>, code: string, because: RegExp): Promise<void> {
  const error = await reading.then(
    () => new Error('was read'),
    (reason: unknown) => reason,
  );
  expect(error).toBeInstanceOf(InputError);
  const { code: found, message } = error as InputError;
  expect({ code: found, message }).toEqual({ code, message: expect.stringMatching(because) });
  expect(message.length).toBeLessThan(260);
}
