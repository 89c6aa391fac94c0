/** Writes a recording out as another kind of file, chunk by chunk: read by ranges, never whole in memory. */
import { ByteWriter } from 'hyparquet-writer';
import type { ByteSource, Damage } from '../src/recorder/blocks.ts';
import { exportCsv } from '../src/recorder/exports/csv.ts';
import { exportMdf } from '../src/recorder/exports/mdf.ts';
import { exportParquet } from '../src/recorder/exports/parquet.ts';
import type { Recording } from '../src/recorder/reader.ts';
import type { GivenKind } from './recording-api.ts';
import type { Sink } from './recording-sinks.ts';

/** Bytes of a Parquet table that are gathered before they are written. */
const TOGETHER_B = 1 << 20;

/** A file of the browser as a source. */
export const blobSource = (blob: Blob): ByteSource => ({
  size: blob.size,
  read: async (at, length) => new Uint8Array(await blob.slice(at, at + length).arrayBuffer()),
});

/** Resolves to what could not be read of it. */
export async function writeOut(recording: Recording, kind: Exclude<GivenKind, 'psrec'>, sink: Sink): Promise<string[]> {
  const told = new Set(recording.damages.map(({ text }) => text));
  const onDamage = ({ text }: Damage): void => void told.add(text);
  if (kind === 'csv') {
    const encoder = new TextEncoder();
    await exportCsv(recording, {}, (text) => sink.write(encoder.encode(text)), onDamage);
  } else if (kind === 'mf4') await exportMdf(recording, {}, sink, onDamage);
  else await exportParquet(recording, {}, new SinkWriter(sink), onDamage);
  return [...told];
}

/** The writer of the Parquet library with a sink behind it: what is full leaves. */
class SinkWriter extends ByteWriter {
  private readonly sink: Sink;

  constructor(sink: Sink) {
    super(TOGETHER_B);
    this.sink = sink;
  }

  override ensure(size: number): void {
    if (this.index > TOGETHER_B) this.leave();
    super.ensure(size);
  }

  override finish(): void {
    this.leave();
  }

  private leave(): void {
    this.sink.write(new Uint8Array(this.buffer, 0, this.index));
    this.index = 0;
  }
}
