/** Text in lines of a width that a terminal has. */
export const WIDTH = 100;

/** Breaks a text at spaces; every line after the first starts with `indent`, the first with `head`. */
export function wrapped(head: string, text: string, indent = ' '.repeat(head.length), width = WIDTH): string[] {
  const lines: string[] = [];
  let line = head;
  let empty = true;
  for (const word of text.split(' ')) {
    if (!empty && line.length + 1 + word.length > width) {
      lines.push(line);
      line = indent;
      empty = true;
    }
    line += empty ? word : ` ${word}`;
    empty = false;
  }
  return [...lines, line];
}
