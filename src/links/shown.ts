/** Text from outside, made fit for a terminal, a page or a file: control characters become spaces, length is bounded. */
const LONGEST = 200;

export function shown(text: string): string {
  return text
    .replace(/[\p{Cc}\p{Cf}\p{Zl}\p{Zp}]+/gu, ' ')
    .trim()
    .slice(0, LONGEST);
}
