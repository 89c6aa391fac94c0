/** Goes through a recording block by block where no index leads: what is whole is kept, what is not is named. */
import { type Block, type ByteSource, blockAt, type Damage, nameOf, viewOf } from './blocks.ts';
import { type ChunkEntry, chunkText, endOf, extremesOf, meantBy, seconds } from './chunk.ts';
import type { Header, RunEnd } from './header.ts';
import { CHUNK, CHUNK_FRONT, chunkLayout, ENDS, HEAD, INDEX } from './layout.ts';
import type { Recording } from './reader.ts';

type Span = Pick<ChunkEntry, 'number' | 'firstTick' | 'lastTick'>;

/** Bytes looked through at a time for the next block. */
const STRIDE = 1 << 20;

export async function scan(
  source: ByteSource,
  header: Header,
  from: number,
): Promise<Pick<Recording, 'chunks' | 'end' | 'damages'>> {
  const { columns, chunkRows, tick_s } = header;
  const chunks: ChunkEntry[] = [];
  /** Chunks there are, whole or not. */
  const met: Span[] = [];
  const damages: Damage[] = [];
  let end: RunEnd | undefined;
  let endSeen = false;
  let at = from;
  while (at < source.size) {
    const block = await blockAt(source, at, columns, chunkRows);
    if (!block) {
      const next = await nextBlock(source, at + 8, header);
      if (next === undefined) {
        damages.push({ text: await cutText(source, at) });
        break;
      }
      damages.push({ text: `bytes ${at} to ${next - 1} are no part of a recording` });
      at = next;
      continue;
    }
    const { letters, damage } = block;
    at += block.bytes.length;
    if (letters === ENDS) endSeen = true;
    if (damage) {
      const meant = meantBy(block, damage);
      const what = letters === CHUNK ? chunkText(spanOf(meant, header), tick_s) : nameOf(letters);
      damages.push({ ...damage, text: `${what}: ${damage.why}` });
      if (letters === CHUNK) met.push(spanOf(meant, header));
    } else if (letters === CHUNK) {
      chunks.push(entryOf(block, header));
      met.push(chunks[chunks.length - 1]);
    } else if (letters === ENDS) end = endOf(block);
  }
  damages.push(...gaps(met, tick_s));
  if (!endSeen) damages.push({ text: unendedText(chunks, tick_s) });
  return { chunks, end, damages };
}

function entryOf({ at, bytes, view }: Block, { columns }: Header): ChunkEntry {
  const rows = view.getUint32(12, true);
  const layout = chunkLayout(columns, rows);
  const firstTick = view.getFloat64(16, true);
  return {
    number: view.getUint32(8, true),
    at,
    length: bytes.length,
    rows,
    firstTick,
    lastTick: firstTick + view.getUint32(CHUNK_FRONT + 4 * (rows - 1), true),
    checksum: view.getUint32(bytes.length - 4, true),
    ...extremesOf(view, layout.extremesAt, columns.length),
  };
}

/** Where the next whole block begins. */
async function nextBlock(
  source: ByteSource,
  from: number,
  { columns, chunkRows }: Header,
): Promise<number | undefined> {
  for (let at = from; at < source.size; at += STRIDE) {
    const bytes = await source.read(at, STRIDE);
    const view = viewOf(bytes);
    for (let k = 0; k + 8 <= bytes.length; k += 8) {
      const letters = view.getUint32(k, true);
      if (letters !== CHUNK && letters !== INDEX && letters !== ENDS && letters !== HEAD) continue;
      const block = await blockAt(source, at + k, columns, chunkRows);
      if (block && !block.damage) return at + k;
    }
  }
  return undefined;
}

/** Number and ticks of a chunk as it says them itself. */
function spanOf(view: DataView, { chunkRows }: Header): Span {
  const firstTick = view.getFloat64(16, true);
  const lastAt = CHUNK_FRONT + 4 * (Math.max(1, Math.min(view.getUint32(12, true), chunkRows)) - 1);
  const reach = lastAt + 4 <= view.byteLength ? view.getUint32(lastAt, true) : 0;
  return { number: view.getUint32(8, true), firstTick, lastTick: firstTick + reach };
}

async function cutText(source: ByteSource, at: number): Promise<string> {
  const front = await source.read(at, 4);
  const what = front.length === 4 ? nameOf(viewOf(front).getUint32(0, true)) : 'block';
  return `the file ends within a ${what}: ${source.size - at} bytes from byte ${at} on cannot be read`;
}

function unendedText(chunks: readonly ChunkEntry[], tick_s: number): string {
  const last = chunks.at(-1);
  const kept = last
    ? `kept is what came before tick ${last.lastTick + 1} (${seconds(last.lastTick, tick_s)})`
    : 'no row is kept';
  return `the recording was not ended: the program was stopped or the file was cut; ${kept}`;
}

/** Chunks whose numbers leave some out. */
function gaps(chunks: readonly Span[], tick_s: number): Damage[] {
  return chunks.flatMap(({ number, firstTick }, k) => {
    const before = chunks[k - 1];
    const due = before ? before.number + 1 : 0;
    if (number === due) return [];
    const since = before ? `after ${seconds(before.lastTick, tick_s)} and ` : '';
    const which = number - due === 1 ? `chunk ${due} is` : `chunks ${due} to ${number - 1} are`;
    return [{ text: `${which} missing: nothing ${since}before ${seconds(firstTick, tick_s)}` }];
  });
}
