/** The short form of fuzz-main.ts, which runs ten million sequences, and what time and memory may cost. */
import { describe, expect, it } from 'vitest';
import { acceptedByBoard, acceptedByHost } from '../../src/protocol/accepted.ts';
import { BYE } from '../../src/protocol/frames.ts';
import { decodeHello, HELLO_BYTES_MOST } from '../../src/protocol/hello.ts';
import { StreamReceiver } from '../../src/protocol/stream.ts';
import { seededBytes } from '../support/seeded.ts';
import { FAULTS, fuzz } from './fuzz.ts';
import { complaintsOf } from './fuzz-checks.ts';
import { fuzzDecoders, fuzzHello } from './fuzz-decoders.ts';
import { fuzzAll, poissonBand } from './fuzz-traffic.ts';

describe('receivers under noise and damage', () => {
  it('lose what was hit, at most two frames a fault, and make none up: 200 000 sequences', () => {
    const runs = fuzzAll(200_000, 5);
    expect(runs.flatMap(complaintsOf)).toEqual([]);
    for (const { run, sent, lost, drops } of runs) {
      console.log(`${run}: ${sent} frames sent, ${lost} hit and lost, dropped ${JSON.stringify(drops)}`);
      expect(lost).toBeGreaterThan(sent / 10); // the faults do their work
    }
    expect(runs.length * FAULTS.length).toBe(32);
  });

  it('pass one checksum of chance in 65536, as a checksum of 16 bits must', () => {
    const shortest = { accepted: acceptedByBoard(), frames: [{ id: BYE.id, length: BYE.bytes }] };
    const { shaped, falseShaped, lostUntouched } = fuzz(shortest, true, 1_500_000, 8, ['shaped']);
    const { least, most } = poissonBand(shaped / 65_536);
    expect(least).toBeGreaterThan(3); // the band would notice a checksum that lets nothing or everything pass
    expect(falseShaped, 'mean 22.9; a Poisson law leaves the band one time in a million').toBeGreaterThanOrEqual(least);
    expect(falseShaped).toBeLessThanOrEqual(most);
    expect(lostUntouched).toBe(0);
  });

  it('take time in proportion to the bytes', () => {
    const MB = 2 ** 20;
    const kinds = { 'no delimiter': new Uint8Array(2 * MB).fill(0x41), noise: seededBytes(3, 2 * MB) };
    for (const [kind, bytes] of Object.entries(kinds)) {
      /** Processor time of all bytes, each receiver taking `length` of them. */
      const time_us = (length: number) => {
        const begin = process.cpuUsage();
        for (let at = 0; at < bytes.length; at += length) {
          new StreamReceiver(acceptedByHost(), () => undefined).push(bytes.subarray(at, at + length));
        }
        return process.cpuUsage(begin).user;
      };
      time_us(bytes.length); // once, so that the compiler is done
      const least = (length: number) => Math.min(...Array.from({ length: 5 }, () => time_us(length)));
      const ratio = least(bytes.length) / least(bytes.length / 16);
      console.log(`${kind}: 2 MB at once take ${ratio.toFixed(2)} times what they take in 16 parts`);
      // Linear work gives 1, quadratic 16; between them lies room for caches and for what else this machine does.
      expect(ratio, kind).toBeLessThan(4);
    }
  });

  it('hold no more memory after 64 MB without a delimiter than before', () => {
    const receiver = new StreamReceiver(acceptedByHost(), () => undefined);
    const chunk = new Uint8Array(2 ** 16).fill(0x41);
    const used = () => process.memoryUsage().arrayBuffers + process.memoryUsage().heapUsed;
    receiver.push(chunk);
    const before = used();
    for (let k = 0; k < 1024; k++) receiver.push(chunk);
    // 64 MB would stay if it kept them; a young heap alone may grow by 16 MB before it is swept.
    expect(used() - before).toBeLessThan(32 * 2 ** 20);
    receiver.push(Uint8Array.of(0));
    expect(receiver.drops).toMatchObject({ tooLong: 1, badCrc: 0, badCobs: 0 });
  });
});

describe('decoders', () => {
  it('of every frame take the lengths of their declaration and never throw: 200 000 tries', () => {
    const figures = fuzzDecoders(200_000, 6);
    expect(figures.complaints).toEqual([]);
    expect(figures.good).toBeGreaterThan(20_000);
  });

  it('of Hello never throw, and say in plain words what is wrong: 40 000 tries', () => {
    const figures = fuzzHello(40_000, 7);
    expect(figures.complaints).toEqual([]);
    expect(figures.good).toBeGreaterThan(400);
    expect(figures.good).toBeLessThan(8000);
  });

  it('of Hello spend little time on the worst that its length allows', () => {
    const begin = performance.now();
    for (const head of [
      [0x91],
      [0x81, 0xa1, 0x61],
      [0xdc, 0x00, 0x20],
      [0xdf, 0xff, 0xff, 0xff, 0xff],
      [0xdb, 0xff, 0xff, 0xff, 0xff],
    ]) {
      const bytes = Uint8Array.from({ length: HELLO_BYTES_MOST }, (_, k) => head[k % head.length]);
      expect(decodeHello(bytes)).toMatchObject({ problem: 'malformed' });
    }
    // Five times 4 KB: a fraction of a millisecond each; the limit only tells it from something that grows with a claim.
    expect(performance.now() - begin).toBeLessThan(500);
  });
});
