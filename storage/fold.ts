/** A name as it is compared: case, accents, ß and spacing do not tell two names apart. */
export function foldName(name: string): string {
  return name
    .normalize('NFKD')
    .replace(/\p{M}+/gu, '')
    .toLowerCase()
    .replaceAll('ß', 'ss')
    .replaceAll('ø', 'o')
    .replaceAll('æ', 'ae')
    .replaceAll('œ', 'oe')
    .replaceAll('ł', 'l')
    .replace(/[’‘ʼ]/gu, "'")
    .replace(/\s+/gu, ' ')
    .trim();
}
