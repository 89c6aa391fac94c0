/** Recordings of the bench of the page, from the tap in the drill worker to the file, read back. */
import { describe, expect, it, onTestFinished } from 'vitest';
import { columnsOf } from '../../src/recorder/header.ts';
import { openRecording, verify } from '../../src/recorder/reader.ts';
import { SIGNALS as ALL, type SignalId } from '../../src/signals.ts';
import type { Looked } from '../../worker/api.ts';
import { MemorySink } from '../../worker/recording-sinks.ts';
import { Take } from '../../worker/recording-take.ts';
import { RecordingTap } from '../../worker/recording-tap.ts';
import { ROWS_TOGETHER, type ToRecorder } from '../../worker/recording-wire.ts';
import { DrillService } from '../../worker/service.ts';
import { END, RUN, sourceOf } from '../recorder/rig.ts';
import { rowsOf } from '../support/recorded-rows.ts';

const SIGNALS = ['packVoltage', 'currentA', 'charge', 'trigger'] as const satisfies readonly SignalId[];
const PERIOD_S = 50e-6;

function bench() {
  const api = new DrillService().facade();
  api.load('bench-18', 'hall-six-step', 1);
  api.setHands({ trigger: 0.6 });
  return api;
}

/** A recorder, and the port for whoever sends. */
function recorder(most_B?: number) {
  const { port1, port2 } = new MessageChannel();
  const sink = new MemorySink(most_B);
  const take = new Take('a', sink, port1);
  onTestFinished(() => {
    take.abandon('the test is over');
    port2.close();
  });
  return { take, port: port2, read: async () => read(new Uint8Array(await sink.blob().arrayBuffer())) };
}

async function read(bytes: Uint8Array) {
  const recording = await openRecording(sourceOf(bytes));
  return { recording, ...(await rowsOf(recording)), damages: (await verify(recording)).map(({ text }) => text) };
}

const from = (first: number, count: number) => Array.from({ length: count }, (_, k) => first + k);
const ask = { signals: SIGNALS, every: 1, controller: 'builtin:hall-six-step' };

describe('a recording of the run on the bench', () => {
  it('holds each tick once with the values that the bench keeps, and says what the run was', async () => {
    const api = bench();
    const { take, port, read } = recorder();
    api.step(100);
    await api.recordTo(ask, port);
    for (let k = 0; k < 3; k++) api.step(1000);
    api.endRecording();
    await take.closed;
    const { recording, ticks, columns, damages } = await read();
    expect(damages).toEqual([]);
    expect(ticks).toEqual(from(101, 3000));
    const looked: Looked = api.look({
      run: 'now',
      channels: SIGNALS,
      from_s: 101 * PERIOD_S,
      to_s: 3100 * PERIOD_S,
      points: 3000,
    });
    expect(looked.kind).toBe('values');
    // The bench keeps float32; the charge adds up and is recorded as float64.
    columns.forEach((values, c) => {
      expect(values.map(Math.fround), SIGNALS[c]).toEqual([...looked.data[c]]);
    });
    expect(recording.header).toMatchObject({ drill: 'bench-18', coupling: 'in-process', seed: 1, every: 1 });
    expect(recording.header.scenario.sha256).toMatch(/^[0-9a-f]{64}$/);
    expect(recording.end).toMatchObject({
      verdict: 'not judged',
      why: '',
      counters: { rowsMissing: 0, lostTime_s: 0 },
    });
    expect(recording.end?.virtual_s).toBeCloseTo(3100 * PERIOD_S, 9);
  });

  it('takes every so many-th tick, counted from the start of the run', async () => {
    const api = bench();
    const { take, port, read } = recorder();
    await api.recordTo({ ...ask, every: 20 }, port);
    api.step(1000);
    api.endRecording();
    await take.closed;
    const { ticks, recording } = await read();
    expect(ticks).toEqual(from(1, 50).map((k) => 20 * k));
    expect(recording.end?.counters.rowsMissing).toBe(0);
  });

  it('tells of faults that were there and that came', async () => {
    const api = bench();
    const { take, port, read } = recorder();
    const handle = api.armFault({ fault: 'shunt-gain', size: 0.1, leg: 'a', when: { kind: 'at once' } });
    await api.recordTo(ask, port);
    api.step(200);
    api.fireFault(handle);
    api.step(200);
    api.endRecording();
    await take.closed;
    const { end } = (await read()).recording;
    expect(JSON.stringify(end?.faults)).toContain('shunt-gain');
    expect(end?.faults.some((each) => (each as { state?: string }).state === 'active')).toBe(true);
    expect(end?.faults.some((each) => (each as { at_s?: number }).at_s !== undefined)).toBe(true);
  });

  it('goes on where the run was gone through again, and ends where it went another way', async () => {
    const api = bench();
    const { take, port, read } = recorder();
    await api.recordTo(ask, port);
    api.step(2000);
    api.stepBack(500);
    api.step(700);
    api.stepBack(500);
    api.setHands({ trigger: 0.9 });
    api.step(100);
    await take.closed;
    const { ticks, recording } = await read();
    expect(ticks).toEqual(from(1, 2200));
    expect(recording.end?.why).toMatch(/rewound and carried on from another moment, near 0\.085 s/);
  });

  it('ends when another bench comes', async () => {
    const api = bench();
    const { take, port, read } = recorder();
    await api.recordTo(ask, port);
    api.step(500);
    api.load('bench-18', 'hall-six-step', 2);
    api.step(500);
    await take.closed;
    const { ticks, recording } = await read();
    expect(ticks).toEqual(from(1, 500));
    expect(recording.end?.why).toBe('another drill or controller was put on the bench');
  });

  it('ends where the sink is full, keeps what is in it, and the bench goes on', async () => {
    const api = bench();
    const { take, port, read } = recorder(120_000);
    await api.recordTo(ask, port);
    for (let k = 0; k < 10; k++) {
      api.step(1000);
      await new Promise((next) => setTimeout(next, 5)); // the port is heard in between
    }
    await take.closed;
    expect(take.stands.why).toMatch(/it reached 0 MiB/);
    const { ticks, recording, damages } = await read();
    expect(ticks).toEqual(from(1, ticks.length));
    expect(ticks.length).toBeGreaterThan(1000);
    expect(damages).toEqual([]);
    expect(recording.end?.why).toMatch(/it reached 0 MiB/);
    expect(api.look({ run: 'now', channels: [], from_s: 0, to_s: 1, points: 2 }).held.to_s).toBeCloseTo(0.5, 6);
  });

  it('refuses what cannot be recorded, and leaves nothing behind', async () => {
    const api = bench();
    const { take, port } = recorder();
    await expect(api.recordTo({ ...ask, signals: [] }, port)).rejects.toThrow(/choose at least one/);
    await take.closed;
    expect(take.blank).toBe(true);
    const odd = { ...ask, signals: ['time'] as const };
    await expect(api.recordTo(odd, recorder().port)).rejects.toThrow(/'time' cannot be recorded/);
    await expect(api.recordTo({ ...ask, every: 0 }, recorder().port)).rejects.toThrow(RangeError);
    await expect(api.recordTo({ ...ask, every: 1.5 }, recorder().port)).rejects.toThrow(/whole number/);
    await expect(api.recordPast(ask, 9, recorder().port)).rejects.toThrow(/has not run yet/);
    await api.recordTo(ask, recorder().port);
    await expect(api.recordTo(ask, recorder().port)).rejects.toThrow(/end it first/);
    api.endRecording();
  });

  it('can be made after the fact, with what the bench keeps', async () => {
    const api = bench();
    api.step(6000);
    const { take, port, read } = recorder();
    await api.recordPast(ask, 0.2, port);
    await take.closed;
    const { ticks, recording, columns } = await read();
    expect(ticks).toEqual(from(2001, 4000));
    expect(recording.header.columns.every(({ storage }) => storage === 'float32')).toBe(true);
    const looked = api.look({ run: 'now', channels: SIGNALS, from_s: 0.10005, to_s: 0.3, points: 4000 });
    columns.forEach((values, c) => {
      expect(values, SIGNALS[c]).toEqual([...looked.data[c]]);
    });
  });
});

describe('a recorder', () => {
  const columns = columnsOf().filter(({ id }) => id === 'link');
  const begin: ToRecorder = { kind: 'begin', run: RUN, columns, tick_s: PERIOD_S, every: 1 };
  const rows = (ticks: readonly number[]): ToRecorder => {
    const numbers = new Float64Array(ROWS_TOGETHER * 2);
    ticks.forEach((tick, k) => {
      numbers[2 * k] = tick;
      numbers[2 * k + 1] = 18;
    });
    return { kind: 'rows', rows: ticks.length, numbers };
  };

  it('counts rows that did not come, and tells of them in the recording', async () => {
    const { take, port, read } = recorder();
    port.postMessage(begin);
    port.postMessage(rows([5, 6, 7]));
    port.postMessage(rows([11, 12, 14]));
    port.postMessage({ kind: 'end', run: END });
    await take.closed;
    expect(take.stands).toMatchObject({ rows: 6, missing: 4, running: false });
    const { end } = (await read()).recording;
    expect(end?.counters.rowsMissing).toBe(4);
    expect(end?.why).toBe('4 rows are missing: the recorder could not keep up with the run');
  });

  it('that is slower than the run costs rows, never the run, and says how many', async () => {
    const { port1, port2 } = new MessageChannel();
    const tap = new RecordingTap(port2, ['link'], 1, undefined, 4 * 16 * ROWS_TOGETHER);
    tap.tell(begin);
    const sample = new Float64Array(ALL.length).fill(18);
    for (let tick = 1; tick <= 10 * ROWS_TOGETHER; tick++) tap.see(tick, sample); // nobody takes them yet
    const sink = new MemorySink();
    const take = new Take('slow', sink, port1);
    await expect.poll(() => take.stands.rows, { timeout: 10_000 }).toBe(5 * ROWS_TOGETHER);
    await tap.drained(0);
    tap.see(10 * ROWS_TOGETHER + 1, sample);
    tap.close({ kind: 'end', run: END });
    await take.closed;
    expect(take.stands).toMatchObject({ rows: 5 * ROWS_TOGETHER + 1, missing: 5 * ROWS_TOGETHER });
    const { recording, damages } = await read(new Uint8Array(await sink.blob().arrayBuffer()));
    expect(damages).toEqual([]);
    expect(recording.end?.why).toMatch(/^5120 rows are missing/);
  });

  it('has all but the last second in the file while it runs', async () => {
    const { take, port, read } = recorder();
    port.postMessage(begin);
    port.postMessage(rows([1, 2, 3]));
    // The flush comes once a second; a loaded machine may be late.
    await expect.poll(async () => (await read().catch(() => undefined))?.ticks, { timeout: 10_000 }).toEqual([1, 2, 3]);
    const { damages } = await read();
    expect(damages.join()).toMatch(/was not ended/);
    expect(take.stands.running).toBe(true);
  });

  it('that hears no end closes without one', async () => {
    const { take, port, read } = recorder();
    port.postMessage(begin);
    port.postMessage(rows([1, 2, 3]));
    await expect.poll(() => take.stands.rows).toBe(3);
    take.abandon('nobody came');
    const { ticks, recording } = await read();
    expect(ticks).toEqual([1, 2, 3]);
    expect(recording.end).toBeUndefined();
    expect(take.stands.why).toBe('nobody came');
  });
});
