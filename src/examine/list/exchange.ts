/** Examinations of the exchange: who is there, one Drive per Sense, signs of life, how long it takes. */
import { roundTripOf } from '../../links/round-trip.ts';
import { BEAT_ANSWER, type Drive, HELLO_ID } from '../../protocol/frames.ts';
import type { Hello } from '../../protocol/hello.ts';
import { type Examination, holds, judged, toMend, warning } from '../examination.ts';
import { currentOf_A, linkOf_V, topCount } from '../pins.ts';
import type { Subject } from '../subject.ts';

/** Scales between which a board of a battery tool lies, generously; illustrative. */
const CURRENT_RANGE_A = [5, 2000] as const;
const LINK_RANGE_V = [6, 120] as const;
/** Least share of the converter that the trigger must span, and within which zero current must lie. */
const TRIGGER_SHARE = 0.1;
const ZERO_SHARES = [0.2, 0.8] as const;

export const hello: Examination = {
  id: 'hello',
  title: 'Hello',
  does: 'sends Greet three times',
  expects: 'the same Hello each time, within the schema, with scales that a battery tool can have',
  matters: 'the drill makes its counts from these scales, and finds a board again by its uid after a lost cable',
  mend: 'answer Greet with Hello every time (phantom_board, phantom_hello_encode); take uid from the chip; PROTOCOL.md',
  async run(subject) {
    const said = [await subject.greet(), await subject.greet(), await subject.greet()];
    await subject.probe.pause(subject.terms.settle_s);
    const [{ hello: first }] = said;
    for (const { hello: other } of said.slice(1)) {
      const keys = Object.keys({ ...first, ...other }) as (keyof Hello)[];
      const changed = keys.find((key) => JSON.stringify(first[key]) !== JSON.stringify(other[key]));
      if (changed) return toMend(`Hello.${changed} changed between two Greets`);
    }
    const count = subject.probe.heard.filter(({ id }) => id === HELLO_ID).length;
    if (count > said.length) return toMend(`${count} Hello frames came for ${said.length} Greets`);
    const odd = oddScales(first);
    if (odd.length > 0) return warning(odd.join('; '));
    return holds(`${said[0].payload.length} bytes, the same three times`);
  },
};

function oddScales(h: Hello): string[] {
  const odd: string[] = [];
  const top = topCount(h);
  const most_A = currentOf_A(h, top);
  const most_V = linkOf_V(h, top);
  if (most_A < CURRENT_RANGE_A[0] || most_A > CURRENT_RANGE_A[1])
    odd.push(`a current channel reads up to ${Number(most_A.toPrecision(3))} A; is Hello.currentPerCount_A right?`);
  if (most_V < LINK_RANGE_V[0] || most_V > LINK_RANGE_V[1])
    odd.push(`the link reads up to ${Number(most_V.toPrecision(3))} V; is Hello.linkPerCount_V right?`);
  if (h.currentZero_counts < ZERO_SHARES[0] * top || h.currentZero_counts > ZERO_SHARES[1] * top)
    odd.push(`zero current reads ${h.currentZero_counts} of ${top}: little room for one sign of it`);
  if (Math.abs(h.triggerHigh_counts - h.triggerLow_counts) < TRIGGER_SHARE * top)
    odd.push('the trigger spans less than a tenth of the converter');
  return odd;
}

/** Exchanges of one-drive; the first wrong ones tell enough. */
const EXCHANGES = 64;

export const oneDrive: Examination = {
  id: 'one-drive',
  title: 'One Drive for each Sense',
  does: `sends ${EXCHANGES} quiet Sense frames, one at a time`,
  expects: 'exactly one Drive each, with the tick of that Sense and the number of watch values that Hello states',
  matters: 'an answer to another tick ends the run; a second one takes half of a slow line',
  mend: 'copy tick from Sense to Drive and send once per Sense (phantom_board does both); PROTOCOL.md',
  async run(subject) {
    const { probe } = subject;
    probe.forget();
    const faults: string[] = [];
    const asked: number[] = [];
    for (let k = 0; k < EXCHANGES && faults.length === 0; k++) {
      const sense = subject.sense();
      asked.push(sense.tick);
      const from = probe.drives.length;
      probe.send(probe.senseFrame(sense));
      const drive = await probe.until<Drive>(() => probe.drives[from], subject.terms.answer_s);
      if (!drive) faults.push(silence(subject, sense.tick));
      else if (drive.tick !== sense.tick) faults.push(`asked was tick ${sense.tick}, the answer is for ${drive.tick}`);
    }
    await probe.pause(subject.terms.settle_s);
    const spare = probe.drives.length - asked.length;
    if (spare > 0) faults.push(`${probe.drives.length} Drives came for ${asked.length} Senses`);
    return judged(faults, `${EXCHANGES} asked, ${probe.drives.length} answered, each with its tick`);
  },
};

function silence(subject: Subject, tick: number): string {
  const { lost, dropped } = subject.probe;
  if (lost !== undefined) return `the link ended at tick ${tick}: ${lost}`;
  return `no Drive to tick ${tick} within ${subject.terms.answer_s} s${dropped === '' ? '' : `; dropped: ${dropped}`}`;
}

export const beat: Examination = {
  id: 'beat',
  title: 'Signs of life',
  does: 'sends Beat alone, in one write with a Sense, and one that is an answer itself',
  expects: 'each Beat that asks comes back once with its number and BEAT_ANSWER; an answer is not answered',
  matters: 'three Beats without an answer while the drill pauses end the link; answered answers never end',
  mend: 'answer Beat wherever frames are read (phantom_board), not in the control tick only; PROTOCOL.md',
  async run(subject) {
    const { probe, terms } = subject;
    const faults: string[] = [];
    probe.forget();
    const answers = (number: number) => probe.beats.filter((each) => each.number === number);
    const wait = (number: number) => probe.until(() => answers(number)[0], terms.answer_s);

    probe.send(probe.beatFrame(0xffff, 0));
    if (!(await wait(0xffff))) return toMend(`a Beat was not answered within ${terms.answer_s} s`);
    const sense = subject.sense();
    const from = probe.heard.length;
    probe.sendTogether([probe.senseFrame(sense), probe.beatFrame(7, 0)]);
    await subject.answerTo(sense.tick, from, performance.now(), 'a Sense with a Beat behind it');
    if (!(await wait(7))) faults.push('a Beat behind a Sense was not answered');
    probe.send(probe.beatFrame(9, BEAT_ANSWER));
    await probe.pause(terms.settle_s);
    if (answers(9).length > 0) faults.push('a Beat that is an answer was answered');
    for (const number of [0xffff, 7]) {
      if (answers(number).length > 1) faults.push(`Beat ${number} was answered ${answers(number).length} times`);
      if (answers(number).some(({ levels }) => (levels & BEAT_ANSWER) === 0))
        faults.push(`the answer to Beat ${number} lacks BEAT_ANSWER`);
    }
    return judged(faults, 'answered at rest and behind a Sense; an answer is left alone');
  },
};

/** Exchanges of the timing, and time after which it is cut short [s]. */
const TIMED = 400;
const TIMED_MOST_S = 4;
/** A USB-to-serial bridge that waits for more bytes adds 16 ms to every answer by default. */
const SLOW_MS = 8;

export const timing: Examination = {
  id: 'timing',
  title: 'Time of an answer',
  does: `times up to ${TIMED} exchanges`,
  expects: 'every answer within the time after which the drill gives up, and half of them within a few milliseconds',
  matters: 'a drill in lock-step waits for each answer: a second of virtual time takes so many answers',
  mend: 'answer inside the receive path and flush at once; on a USB-to-serial bridge set its latency timer to 1 ms; USB.md',
  async run(subject) {
    const times_s: number[] = [];
    const start_ms = performance.now();
    while (times_s.length < TIMED && performance.now() - start_ms < TIMED_MOST_S * 1000) {
      times_s.push((await subject.ask(subject.sense())).ms / 1000);
      subject.probe.forget();
    }
    const wall_s = (performance.now() - start_ms) / 1000;
    const { p50_s, p99_s, max_s } = roundTripOf(times_s);
    const rate = times_s.length / wall_s;
    const slower = 1 / (rate * subject.tick_s);
    const pace =
      slower > 1
        ? `a second of the drill takes ${slower.toPrecision(2)} s`
        : 'fast enough to follow the drill in real time';
    const saw = `p50 ${ms(p50_s)}, p99 ${ms(p99_s)}, max ${ms(max_s)} of ${subject.terms.answer_s * 1000} ms allowed; ${Math.round(rate)} exchanges/s: ${pace}`;
    if (max_s > subject.terms.answer_s / 2)
      return toMend(`${saw}. The longest took more than half of the time allowed`);
    if (p50_s * 1000 > SLOW_MS)
      return warning(`${saw}. Half of the answers took more than ${SLOW_MS} ms: bytes wait somewhere`);
    return holds(saw);
  },
};

const ms = (time_s: number): string => `${Number((time_s * 1000).toPrecision(2))} ms`;
