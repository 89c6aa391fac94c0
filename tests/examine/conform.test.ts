/** Sound boards conform; a board with one defect is told that defect, by the name of the examination, and no other. */
import { describe, expect, it } from 'vitest';
import { EXAMINATIONS, examine } from '../../src/examine/examine.ts';
import { GATE_A, GATE_B, SENSE_IN, STATE_RUNNING, TRIP_NONE } from '../../src/protocol/frames.ts';
import { around, served, sound, wireTo } from './boards.ts';
import { DEFECTS } from './defects.ts';
import { readingBoard } from './odd-readings.ts';

/** Short waits: a board in this process answers at once, and a defect that keeps silent is waited for many times. */
const TERMS = { answer_s: 0.5, hello_s: 0.5, settle_s: 0.01, pause_s: 1 };
const LIMIT_MS = 120_000;

describe('an examination', { timeout: LIMIT_MS }, () => {
  it.concurrent('finds nothing to mend on a sound board, on a stream', async () => {
    const report = await examine(
      wireTo((say) => served(sound(), say)),
      TERMS,
    );
    expect(report.results.filter(({ verdict }) => verdict !== 'holds')).toEqual([]);
    expect(report.results.map(({ id }) => id)).toEqual(EXAMINATIONS.map(({ id }) => id));
    expect(report).toMatchObject({ lost: undefined, counts: { holds: EXAMINATIONS.length } });
    expect(report.hello?.firmware).toBe('six-step-1');
  });

  it.concurrent('finds nothing to mend where messages arrive whole, and says what it does not examine there', async () => {
    const report = await examine(
      wireTo((say) => served(sound(), say, true), 'memory', true),
      TERMS,
    );
    const others = report.results.filter(({ verdict }) => verdict !== 'holds');
    expect(others.map(({ id, verdict }) => `${id}: ${verdict}`)).toEqual([
      'split: not examined',
      'sizes: not examined',
    ]);
    for (const { saw } of others) expect(saw).toContain('on this kind of link');
  });

  for (const { name, mends, make, terms = {}, wire = 'memory' } of DEFECTS) {
    it.concurrent(`names the defect of a board that ${name}`, async () => {
      const report = await examine(wireTo(make, wire), { ...TERMS, ...terms });
      const found = report.results.filter(({ verdict }) => verdict === 'mend');
      const said = found.map(({ id, saw }) => `${id}: ${saw}`).join('\n');
      expect(found.map(({ id }) => id).sort(), said).toEqual([...mends].sort());
      expect(report.counts.mend).toBe(mends.length);
    });
  }
});

describe('an examination warns', { timeout: LIMIT_MS }, () => {
  const warned = async (make: Parameters<typeof wireTo>[0]): Promise<Record<string, string>> => {
    const { results } = await examine(wireTo(make), TERMS);
    expect(results.filter(({ verdict }) => verdict === 'mend')).toEqual([]);
    const found = results.filter(({ verdict }) => verdict === 'warning');
    return Object.fromEntries(found.map(({ id, saw }) => [id, saw]));
  };

  it.concurrent('of a board that drives whatever its converters read', async () => {
    const found = await warned((say) =>
      served(
        around((sense, drive, inner) => {
          inner();
          // 2048 counts is half of the travel.
          if (sense.trigger > 1000 && (sense.flags & SENSE_IN) !== 0)
            Object.assign(drive, {
              state: STATE_RUNNING,
              trip: TRIP_NONE,
              gates: GATE_A | GATE_B,
              dutyA: 8192,
              dutyB: 0,
            });
        }),
        say,
      ),
    );
    expect(Object.keys(found)).toEqual(['impossible-counts']);
    for (const what of ['current channels at 0', 'the link at its top', 'the Hall code 111'])
      expect(found['impossible-counts']).toContain(what);
    expect(found['impossible-counts']).not.toContain('the trigger at 0');
  });

  it.concurrent('of a Drive of 64 bytes where the link does not mind, and names the one that does', async () => {
    const { make } = DEFECTS.find(({ name }) => name === 'sends exactly 64 bytes')!;
    const found = await warned(make);
    expect(Object.keys(found)).toEqual(['sizes']);
    expect(found.sizes).toBe('Drive takes exactly 64 bytes on the wire; this kind of link does not mind, USB does');
  });

  it.concurrent('of scales that no battery tool has', async () => {
    const { hello } = sound();
    const odd = {
      ...hello,
      currentPerCount_A: 50,
      linkPerCount_V: 1e-4,
      triggerHigh_counts: hello.triggerLow_counts + 9,
    };
    const found = await warned((say) => {
      const inner = sound();
      return served(
        { hello: odd, tick: (sense, drive) => inner.tick({ ...sense, link: 2031, trigger: 410 }, drive) },
        say,
      );
    });
    expect(found.hello).toContain('a current channel reads up to 102000 A; is Hello.currentPerCount_A right?');
    expect(found.hello).toContain('the link reads up to 0.41 V; is Hello.linkPerCount_V right?');
    expect(found.hello).toContain('the trigger spans less than a tenth of the converter');
  });

  it.concurrent('of a board that never measures its offsets', async () => {
    const found = await warned((say) => served(readingBoard(), say));
    expect(found['power-cycle']).toContain('are offsets measured at all?');
  });

  it.concurrent('of nothing that a board does not claim: without virtual ticks wall time may count', async () => {
    const inner = sound();
    const own = { hello: { ...inner.hello, virtualTick: false }, tick: inner.tick.bind(inner) };
    const { results } = await examine(
      wireTo((say) => served(own, say)),
      TERMS,
    );
    expect(results.find(({ id }) => id === 'wall-pause')).toMatchObject({ verdict: 'not examined' });
    expect(results.filter(({ verdict }) => verdict === 'mend')).toEqual([]);
  });
});
