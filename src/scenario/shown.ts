/** What someone else wrote, fit for a message. */

/** Text of someone else as one line of a message: no control characters, none that turn the direction of writing. */
export function shown(text: string, most: number): string {
  const plain = text.replace(/[\p{Cc}\p{Cf}\p{Zl}\p{Zp}\p{Cs}]/gu, ' ');
  return plain.length > most ? `${plain.slice(0, most - 3)}...` : plain;
}
