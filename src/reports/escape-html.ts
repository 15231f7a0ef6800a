const ENTITY: Readonly<Record<string, string>> = { '&': '&amp;', '<': '&lt;', '>': '&gt;', '"': '&quot;', "'": '&#39;' };

/** Text for HTML and SVG, in content and in quoted attributes. Control characters, which no page may hold, become the replacement character. */
export const escapeHtml = (text: string): string =>
  text.replace(/[&<>"']/g, (c) => ENTITY[c] as string).replace(/[\u0000-\u0008\u000b\u000c\u000e-\u001f\u007f]/g, '\ufffd');
