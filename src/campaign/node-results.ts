/**
 * The result file of a campaign. While it runs, lines are only ever added, in the order in which runs end; when all are
 * there they are put in the order of the points, so that the file has the same bytes however it came about. Wall times go
 * to a file beside it.
 */
import {
  appendFileSync,
  closeSync,
  existsSync,
  openSync,
  readFileSync,
  readSync,
  renameSync,
  rmSync,
  statSync,
  truncateSync,
  writeSync,
} from 'node:fs';
import { isEnd, isHead, isPoint, seal, unseal } from './lines.ts';
import { type PointResult, type ResultHead, runName } from './results.ts';
import type { Times } from './summary.ts';

interface Place {
  readonly point: number;
  readonly run: number;
  readonly offset: number;
  /** Bytes without the line feed. */ readonly length: number;
}

const LINE_FEED = 10;
/** Bytes that are read at once. */
const CHUNK = 1 << 16;

export const timesPath = (results: string): string => `${results.replace(/\.jsonl$/, '')}.times.jsonl`;

/** Throws Error with the reason when the file cannot be read or belongs to something else. */
export class ResultFile {
  readonly path: string;
  readonly head: ResultHead;
  /** What had to be dropped of a file that was found, one sentence each. */ readonly dropped: string[] = [];
  private readonly places = new Map<string, Place>();
  private ended = false;
  private size = 0;

  private constructor(path: string, head: ResultHead) {
    this.path = path;
    this.head = head;
  }

  /** Begins a file. */
  static create(path: string, head: ResultHead): ResultFile {
    const file = new ResultFile(path, head);
    rmSync(path, { force: true });
    rmSync(timesPath(path), { force: true });
    file.add(seal(head));
    return file;
  }

  /** Reads a file that is there; a line that is cut off or damaged is dropped, and its run counts as not done. */
  static open(path: string): ResultFile {
    let file: ResultFile | undefined;
    let good = 0;
    let number = 0;
    for (const { line, offset, whole } of linesOf(path)) {
      number++;
      const content = whole ? unseal(line) : undefined;
      const length = Buffer.byteLength(line);
      if (number === 1) {
        if (!isHead(content)) throw new Error(`${path} is no result file of a campaign: its first line is not a head`);
        file = new ResultFile(path, content);
      } else if (file && isPoint(content)) {
        file.places.set(runName(content), { point: content.point, run: content.run, offset, length });
        file.ended = false;
      } else if (file && isEnd(content)) {
        file.ended = content.runs === file.places.size;
      } else {
        file?.dropped.push(`line ${number} ${whole ? 'does not fit its checksum' : 'was cut off'}: it was dropped`);
      }
      good = offset + length + (whole ? 1 : 0);
      if (!whole) good = offset;
    }
    if (!file) throw new Error(`${path} is empty`);
    if (good < statSync(path).size) truncateSync(path, good);
    file.size = good;
    return file;
  }

  /** True when every run of the campaign is there, in order. */
  get finished(): boolean {
    return this.ended;
  }

  get runs(): number {
    return this.places.size;
  }

  has(point: number, run: number): boolean {
    return this.places.has(runName({ point, run }));
  }

  get(point: number, run: number): PointResult | undefined {
    const place = this.places.get(runName({ point, run }));
    return place ? this.at(place) : undefined;
  }

  keep(result: PointResult, wall_s: number): void {
    const line = seal(result);
    const { point, run } = result;
    this.places.set(runName(result), { point, run, offset: this.size, length: Buffer.byteLength(line) });
    this.add(line);
    const time: Times = { name: runName(result), wall_s };
    appendFileSync(timesPath(this.path), `${JSON.stringify(time)}\n`);
  }

  /** Every run, by point and run. */
  *inOrder(): Generator<PointResult> {
    for (const place of this.sorted()) yield this.at(place);
  }

  /** Text of every run as it stands in the file, by point and run. */
  *linesInOrder(): Generator<string> {
    for (const place of this.sorted()) yield this.textAt(place);
  }

  /** Texts of all runs of a point at once, point after point. */
  *byPoint(): Generator<string[]> {
    let point: number | undefined;
    let texts: string[] = [];
    for (const place of this.sorted()) {
      if (place.point !== point && texts.length > 0) {
        yield texts;
        texts = [];
      }
      point = place.point;
      texts.push(this.textAt(place));
    }
    if (texts.length > 0) yield texts;
  }

  *times(): Generator<Times> {
    const path = timesPath(this.path);
    if (!existsSync(path)) return;
    for (const line of readFileSync(path, 'utf8').split('\n')) {
      try {
        const time = JSON.parse(line) as Times;
        if (typeof time.wall_s === 'number') yield time;
      } catch {
        // A kill may have cut the last line; a time that is missing changes no result.
      }
    }
  }

  /**
   * Puts all lines in order and closes the file with its end: whole or not at all, for the new file takes the place of the
   * old one. Returns the file as it is then.
   */
  finish(): ResultFile {
    if (this.ended) return this;
    writeOrdered(this.path, this.head, this.linesInOrder());
    return ResultFile.open(this.path);
  }

  private sorted(): Place[] {
    return [...this.places.values()].sort((a, b) => a.point - b.point || a.run - b.run);
  }

  private at(place: Place): PointResult {
    return unseal(this.textAt(place)) as PointResult;
  }

  private textAt({ offset, length }: Place): string {
    const bytes = Buffer.alloc(length);
    const handle = openSync(this.path, 'r');
    try {
      readSync(handle, bytes, 0, length, offset);
    } finally {
      closeSync(handle);
    }
    return bytes.toString('utf8');
  }

  private add(line: string): void {
    appendFileSync(this.path, `${line}\n`);
    this.size += Buffer.byteLength(line) + 1;
  }
}

/** Writes head, lines and end beside the path, then puts the file in its place. */
export function writeOrdered(path: string, head: ResultHead, lines: Iterable<string>): void {
  const beside = `${path}.new`;
  const handle = openSync(beside, 'w');
  let runs = 0;
  try {
    writeSync(handle, `${seal(head)}\n`);
    for (const line of lines) {
      writeSync(handle, `${line}\n`);
      runs++;
    }
    writeSync(handle, `${seal({ end: true, runs })}\n`);
  } finally {
    closeSync(handle);
  }
  renameSync(beside, path);
}

/** The lines of a file with where they begin; the last is not whole when no line feed ends it. */
function* linesOf(path: string): Generator<{ line: string; offset: number; whole: boolean }> {
  const handle = openSync(path, 'r');
  try {
    const chunk = Buffer.alloc(CHUNK);
    let rest = Buffer.alloc(0);
    let offset = 0;
    for (;;) {
      const count = readSync(handle, chunk, 0, CHUNK, null);
      if (count === 0) break;
      rest = Buffer.concat([rest, chunk.subarray(0, count)]);
      let from = 0;
      for (let to = rest.indexOf(LINE_FEED, from); to >= 0; to = rest.indexOf(LINE_FEED, from)) {
        yield { line: rest.toString('utf8', from, to), offset: offset + from, whole: true };
        from = to + 1;
      }
      offset += from;
      rest = rest.subarray(from);
    }
    if (rest.length > 0) yield { line: rest.toString('utf8'), offset, whole: false };
  } finally {
    closeSync(handle);
  }
}
