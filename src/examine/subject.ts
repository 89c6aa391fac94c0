/** A board under examination: ticks that count on, boots, a turning rotor, and the words for what goes wrong. */
import { encodePower, encodeWelcome } from '../protocol/codec.ts';
import {
  COUPLING_EXAMINE,
  DRIVE,
  type Drive,
  HELLO_ID,
  POWER,
  POWER_ON,
  PROTOCOL_VERSION,
  SENSE_BOOT,
  type Sense,
  STATE_STARTING,
  WELCOME,
} from '../protocol/frames.ts';
import { decodeHello, type Hello } from '../protocol/hello.ts';
import { quietSense, restLink_V } from './pins.ts';
import type { Heard, Probe } from './probe.ts';
import type { Rotor } from './rotor.ts';

/** Times of an examination, in wall time, and what a quiet board sees. */
export interface Terms {
  /** Longest wait for an answer [s]. */ readonly answer_s: number;
  /** Longest wait for a Hello [s]. */ readonly hello_s: number;
  /** Silence after which nothing more is expected [s]. */ readonly settle_s: number;
  /** Wall time between two ticks that a board must stand [s]. */ readonly pause_s: number;
  /** Link voltage of quiet frames; else 18 V, or half of what the board reads [V]. */ readonly link_V?:
    | number
    | undefined;
}
export const TERMS: Terms = Object.freeze({ answer_s: 2, hello_s: 5, settle_s: 0.05, pause_s: 1 });

/** Something that must be mended; the message says what was seen. */
export class Broken extends Error {
  override readonly name = 'Broken';
}

export interface Answer {
  readonly drive: Drive;
  /** From the last byte sent to the answer. */ readonly ms: number;
}

export interface Boot {
  /** Answers in STATE_STARTING before the first other one. */ readonly starting: number;
  readonly first: Drive;
  readonly last: Drive;
}

/** Ticks that a board may take to measure its offsets, at most. */
const START_TICKS = 4000;
/** Ticks after a boot for a board that has no such state. */
const REST_TICKS = 200;

export class Subject {
  readonly probe: Probe;
  readonly hello: Hello;
  readonly terms: Terms;
  /** Tick of the last Sense that was made. */ tick = 0;
  readonly tick_s: number;

  constructor(probe: Probe, hello: Hello, terms: Terms) {
    this.probe = probe;
    this.hello = hello;
    this.terms = terms;
    this.tick_s = 1 / (hello.pwm_Hz * hello.updates);
    probe.know(hello);
  }

  /** Column of the watch value that follows the speed of the rotor; -1 without one, or without Halls. */
  get speedColumn(): number {
    if (!this.hello.halls) return -1;
    return this.hello.watch.findIndex(({ signal }) => signal === 'motorSpeed' || signal === 'electricalSpeed');
  }

  /** Pins of a quiet frame. */
  get quiet(): Sense {
    return quietSense(this.hello, this.terms.link_V ?? restLink_V(this.hello));
  }

  /** Quiet pins at the next tick, with something else on some of them. */
  sense(change: Partial<Sense> = {}, ahead = 1): Sense {
    this.tick = (this.tick + ahead) >>> 0;
    return { ...this.quiet, tick: this.tick, ...change };
  }

  /** Sends bytes that should bring a Drive for `tick`. Throws Broken when none comes. */
  async askBytes(bytes: Uint8Array, tick: number, what = `tick ${tick}`): Promise<Answer> {
    const from = this.probe.heard.length;
    const sent_ms = performance.now();
    this.probe.send(bytes);
    return this.answerTo(tick, from, sent_ms, what);
  }

  /** Waits for the Drive for `tick`. Throws Broken when none comes. */
  async answerTo(tick: number, from: number, sent_ms: number, what = `tick ${tick}`): Promise<Answer> {
    const { probe } = this;
    const isIt = (each: Heard) => each.id === DRIVE.id && probe.driveOf(each).tick === tick;
    let seen = from;
    const heard = await probe.until(() => {
      while (seen < probe.heard.length) {
        const each = probe.heard[seen++];
        if (isIt(each)) return each;
      }
      return undefined;
    }, this.terms.answer_s);
    if (heard) return { drive: probe.driveOf(heard), ms: heard.at_ms - sent_ms };
    if (probe.lost !== undefined) throw new Broken(`the link ended at ${what}: ${probe.lost}`);
    throw new Broken(`no answer to ${what} within ${this.terms.answer_s} s${this.instead(from)}`);
  }

  ask(sense: Sense, what?: string): Promise<Answer> {
    return this.askBytes(this.probe.senseFrame(sense), sense.tick, what);
  }

  /** One tick with quiet pins but for `change`. */
  async step(change: Partial<Sense> = {}, what?: string): Promise<Drive> {
    return (await this.ask(this.sense(change), what)).drive;
  }

  async steps(ticks: number, change: Partial<Sense> = {}, what?: string): Promise<Drive> {
    let drive = await this.step(change, what);
    for (let k = 1; k < ticks; k++) drive = await this.step(change, what);
    return drive;
  }

  /** The supply goes and comes; then quiet frames until the board has measured its offsets. */
  async boot(change: Partial<Sense> = {}, tick = this.tick): Promise<Boot> {
    const { probe } = this;
    probe.forget();
    this.tick = tick;
    for (const levels of [0, POWER_ON]) probe.send(probe.frame(POWER.id, payloadOf(encodePower, { tick, levels })));
    const rest = this.sense(change);
    const first = (await this.ask({ ...rest, flags: rest.flags | SENSE_BOOT }, 'the first tick after a boot')).drive;
    let last = first;
    let starting = 0;
    let taken = 1;
    while (last.state === STATE_STARTING && taken < START_TICKS) {
      starting++;
      last = await this.step(change, `tick ${taken} after a boot`);
      taken++;
      if (taken % 64 === 0) probe.forget();
    }
    while (starting === 0 && taken < REST_TICKS) {
      last = await this.step(change, `tick ${taken} after a boot`);
      taken++;
    }
    probe.forget();
    return { starting, first, last };
  }

  /** Asks for Hello. Throws Broken when none comes or it breaks the schema. */
  async greet(): Promise<{ readonly hello: Hello; readonly payload: Uint8Array }> {
    const { probe, terms } = this;
    return greet(probe, terms);
  }

  /** Says that an examination follows. */
  welcome(coupling = COUPLING_EXAMINE): void {
    const tick = Math.round(this.tick_s * 1e9);
    const patience = Math.round(this.terms.answer_s * 1000);
    const frame = { version: PROTOCOL_VERSION, coupling, credits: 1, tick, patience };
    this.probe.send(this.probe.frame(WELCOME.id, payloadOf(encodeWelcome, frame)));
  }

  /** Turns the rotor and gives the speed that the board shows at the end. `repeat` sends every frame so many times. */
  async spin(rotor: Rotor, ticks: number, { stride = 1, repeat = 1 } = {}): Promise<number> {
    const { probe } = this;
    let drive: Drive | undefined;
    let answersAgain = true;
    for (let k = 0; k < ticks; k += stride) {
      rotor.turn(stride);
      const sense = this.sense(rotor.pins, stride);
      drive = (await this.ask(sense)).drive;
      for (let n = 1; n < repeat; n++) {
        probe.forget();
        probe.send(probe.senseFrame(sense));
        // A repetition may be answered or not; the first one shows which, and later ones are not waited for in vain.
        if (answersAgain) answersAgain = (await probe.until(() => probe.drives[0], this.terms.settle_s)) !== undefined;
      }
      probe.forget();
    }
    return drive!.watch[this.speedColumn];
  }

  private instead(from: number): string {
    const drives = this.probe.heard.slice(from).filter(({ id }) => id === DRIVE.id);
    if (drives.length > 0) return `; instead a Drive for tick ${this.probe.driveOf(drives[0]).tick} came`;
    if (this.probe.heard.slice(from).some(({ id }) => id === HELLO_ID))
      return '; instead a Hello came: it has restarted';
    return '';
  }
}

/** Greets and waits for the Hello. Throws Broken when none comes or it breaks the schema. */
export async function greet(probe: Probe, terms: Terms): Promise<{ hello: Hello; payload: Uint8Array }> {
  const from = probe.heard.length;
  probe.greet();
  const isHello = ({ id }: Heard) => id === HELLO_ID;
  const heard = await probe.until(() => probe.heard.slice(from).find(isHello), terms.hello_s);
  if (!heard) {
    if (probe.lost !== undefined) throw new Broken(`the link ended: ${probe.lost}`);
    const came = probe.bytes === 0 ? 'not a byte came' : `${probe.bytes} bytes came so far`;
    throw new Broken(`no Hello within ${terms.hello_s} s of a Greet; ${came}`);
  }
  const result = decodeHello(heard.payload);
  if ('problem' in result) throw new Broken(`the Hello is refused: ${result.detail}`);
  return { hello: result.hello, payload: heard.payload };
}

/** Longest payload of a frame that the drill sends, with room. */
const ROOM = 512;

/** The payload of a frame as bytes of its own. */
export function payloadOf<V>(encode: (values: V, bytes: Uint8Array) => number, values: V): Uint8Array {
  const bytes = new Uint8Array(ROOM);
  return bytes.subarray(0, encode(values, bytes));
}
