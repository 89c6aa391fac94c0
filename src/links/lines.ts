/** Longest line that is kept; the rest of a longer one starts the next [characters]. */
const LINE_MOST = 2000;

/** Cuts text that arrives in pieces into lines. */
export class LineSplitter {
  private readonly decoder = new TextDecoder();
  private readonly onLine: (line: string) => void;
  private rest = '';

  constructor(onLine: (line: string) => void) {
    this.onLine = onLine;
  }

  push(bytes: Uint8Array): void {
    const lines = (this.rest + this.decoder.decode(bytes, { stream: true })).split(/\r?\n/);
    this.rest = lines.pop()!;
    while (this.rest.length > LINE_MOST) {
      lines.push(this.rest.slice(0, LINE_MOST));
      this.rest = this.rest.slice(LINE_MOST);
    }
    for (const line of lines) if (line !== '') this.onLine(line);
  }
}
