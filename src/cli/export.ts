/** `export`: says what is in a recording and whether it is whole, and writes it as CSV, Parquet or MDF. */
import { rmSync } from 'node:fs';
import { fileWriter } from 'hyparquet-writer';
import { SetUpError } from '../links/errors.ts';
import { type Damage, RecordingError } from '../recorder/blocks.ts';
import { seconds } from '../recorder/chunk.ts';
import { type CsvUnits, exportCsv } from '../recorder/exports/csv.ts';
import { exportMdf } from '../recorder/exports/mdf.ts';
import { exportParquet } from '../recorder/exports/parquet.ts';
import { FileSink, FileSource } from '../recorder/node-file.ts';
import { openRecording, type Recording, verify } from '../recorder/reader.ts';
import { type Selection, selected } from '../recorder/rows.ts';
import { readQuantity } from '../scenario/quantity.ts';
import { EXIT_FAILED, EXIT_PASSED } from './exit.ts';
import { say } from './files.ts';

export interface ExportOptions {
  readonly signals?: string;
  readonly from?: string;
  readonly to?: string;
  readonly every?: string;
  readonly units?: string;
}

const TIME = { units: ['s', 'ms', 'us'], range: [0, 1e9] } as const;
const ENDINGS = ['.csv', '.parquet', '.mf4'] as const;
const UNITS: readonly string[] = ['si', 'shown'];

/** Returns 0 when all is whole, 1 when something of it is missing or damaged. Throws SetUpError when nothing can be had. */
export async function exportRecording(path: string, outs: readonly string[], options: ExportOptions): Promise<number> {
  const kinds = outs.map((out) => {
    const ending = ENDINGS.find((each) => out.endsWith(each));
    if (ending === undefined) throw new SetUpError(`export to ${out}: allowed endings are ${ENDINGS.join(', ')}`);
    return { out, ending };
  });
  const selection = selectionOf(options);
  const source = opened(path);
  try {
    const recording = await openRecording(source).catch((error: unknown) => {
      if (error instanceof RecordingError) throw new SetUpError(`${path} ${error.message}`);
      throw error;
    });
    checked(() => selected(recording, selection));
    const told = new Set(recording.damages.map(({ text }) => text));
    const onDamage = ({ text }: Damage) => void told.add(text);
    if (outs.length === 0) {
      for (const line of summary(recording)) say(process.stdout, line);
      for (const damage of await verify(recording)) onDamage(damage);
    }
    for (const { out, ending } of kinds) {
      const rows = await write(recording, selection, out, ending, onDamage);
      say(process.stdout, `${out}: ${rows} rows, ${selected(recording, selection).length} signals`);
    }
    for (const text of told) say(process.stderr, `${path}: ${text}`);
    return told.size === 0 ? EXIT_PASSED : EXIT_FAILED;
  } finally {
    source.close();
  }
}

function opened(path: string): FileSource {
  try {
    return new FileSource(path);
  } catch (error) {
    throw new SetUpError(`${path}: cannot be read: ${(error as Error).message}`);
  }
}

/** Writes one file; what is half written is taken away again. */
async function write(
  recording: Recording,
  selection: Selection & { readonly units: CsvUnits },
  out: string,
  ending: (typeof ENDINGS)[number],
  onDamage: (damage: Damage) => void,
): Promise<number> {
  let made = false;
  try {
    if (ending === '.parquet') {
      const writer = fileWriter(out);
      made = true;
      return await exportParquet(recording, selection, writer, onDamage);
    }
    const file = new FileSink(out);
    made = true;
    try {
      if (ending === '.mf4') return await exportMdf(recording, selection, file, onDamage);
      const encoder = new TextEncoder();
      return await exportCsv(recording, selection, (text) => file.write(encoder.encode(text)), onDamage);
    } finally {
      file.close();
    }
  } catch (error) {
    if (made) rmSync(out, { force: true });
    throw new SetUpError(`cannot write ${out}: ${(error as Error).message}`);
  }
}

function selectionOf({
  signals,
  from,
  to,
  every,
  units = 'si',
}: ExportOptions): Selection & { readonly units: CsvUnits } {
  if (!UNITS.includes(units)) throw new SetUpError(`--units ${units}: allowed are ${UNITS.join(', ')}`);
  if (every !== undefined && !/^[1-9]\d{0,8}$/.test(every)) {
    throw new SetUpError(`--every ${every}: allowed is a whole number, 1 or more: 10 takes every 10th row`);
  }
  const from_s = from === undefined ? undefined : timeOf('--from', from);
  const to_s = to === undefined ? undefined : timeOf('--to', to);
  if (from_s !== undefined && to_s !== undefined && to_s < from_s) {
    throw new SetUpError(`--to ${to}: allowed is --from, ${from}, or later`);
  }
  return {
    units: units as CsvUnits,
    ...(signals === undefined ? {} : { signals: [...new Set(signals.split(',').map((id) => id.trim()))] }),
    ...(from_s === undefined ? {} : { from_s }),
    ...(to_s === undefined ? {} : { to_s }),
    ...(every === undefined ? {} : { every: Number(every) }),
  };
}

function timeOf(option: string, text: string): number {
  const read = readQuantity(text, TIME);
  if (read.ok) return read.si;
  throw new SetUpError(`${option}: ${read.why}`);
}

/** Runs what throws RangeError when the options do not fit the recording. */
function checked(work: () => unknown): void {
  try {
    work();
  } catch (error) {
    if (error instanceof RangeError) throw new SetUpError(`--signals: ${error.message}`);
    throw error;
  }
}

function summary({ header, chunks, rows, end, source }: Recording): string[] {
  const { scenario, drill, controller, firmware, coupling, seed, tick_s, every, columns } = header;
  const [first, last] = [chunks[0], chunks.at(-1)];
  const span = first && last ? `${seconds(first.firstTick, tick_s)} to ${seconds(last.lastTick, tick_s)}` : 'none';
  return [
    `${scenario.title}  (${scenario.file})`,
    `  ${drill}, ${controller}, firmware ${firmware}, ${coupling}, seed ${seed}, made ${header.made}`,
    `  ${columns.length} signals, ${rows} rows of every ${every === 1 ? 'tick' : `${every}th tick`} of ${tick_s} s: ${span}`,
    `  ${chunks.length} chunks, ${source.size} bytes`,
    end ? `  ${end.verdict}; state hash ${end.stateHash}` : '  without an end',
  ];
}
