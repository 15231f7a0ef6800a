import { InvalidArgumentError } from 'commander';

/** Converters of arguments. @throws {InvalidArgumentError} commander shows it with the option's name */
export function positiveNumber(text: string): number {
  const value = Number(text);
  if (text.trim() === '' || !Number.isFinite(value) || value <= 0) throw new InvalidArgumentError('Expected a number above 0.');
  return value;
}

export function wholeNumber(text: string): number {
  const value = Number(text);
  if (!/^\d+$/.test(text) || !Number.isSafeInteger(value) || value < 1)
    throw new InvalidArgumentError('Expected a whole number, 1 or more.');
  return value;
}

export function seedNumber(text: string): number {
  const value = Number(text);
  if (!/^\d+$/.test(text) || value > 0xffffffff) throw new InvalidArgumentError('Expected a whole number from 0 to 4294967295.');
  return value;
}
