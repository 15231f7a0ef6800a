/** Text from data for a terminal: control characters (they could recolour or overwrite it) become spaces. */
export const printable = (text: string): string => text.replace(/[\p{Cc}\p{Zl}\p{Zp}\u202a-\u202e\u2066-\u2069]+/gu, ' ');
