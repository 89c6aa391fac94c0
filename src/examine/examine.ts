/**
 * Examines a board, one examination after the other. A board that falls silent or ends the link in one of them is opened
 * or greeted anew for the next, so that one fault does not hide the others; if it does not come back, it is lost.
 */
import type { Wire } from '../links/wire.ts';
import type { Hello } from '../protocol/hello.ts';
import { type Examination, type Finding, notExamined, toMend, type Verdict } from './examination.ts';
import { bye, refuse, welcome } from './list/ends.ts';
import { beat, hello, oneDrive, timing } from './list/exchange.ts';
import { flipped, garbage, merged, oversized, split, unknownFrame } from './list/framing.ts';
import { clean, impossible, released } from './list/safety.ts';
import { sizes } from './list/sizes.ts';
import { lostFrame, powerCycle, repeatedFrame, tickWrap, wallPause } from './list/time.ts';
import { Probe } from './probe.ts';
import { Broken, greet, Subject, TERMS, type Terms } from './subject.ts';

/** All examinations in their order; without the first two nothing else can be. */
export const EXAMINATIONS: readonly Examination[] = Object.freeze([
  hello,
  oneDrive,
  released,
  beat,
  welcome,
  split,
  merged,
  sizes,
  flipped,
  garbage,
  oversized,
  unknownFrame,
  lostFrame,
  repeatedFrame,
  tickWrap,
  wallPause,
  powerCycle,
  impossible,
  refuse,
  bye,
  timing,
  clean,
]);

export interface Examined extends Finding {
  readonly id: string;
  readonly title: string;
  readonly does: string;
  readonly expects: string;
  readonly matters: string;
  readonly mend: string;
}

export interface BoardReport {
  readonly link: string;
  readonly hello: Hello | undefined;
  readonly results: readonly Examined[];
  readonly counts: Readonly<Record<Verdict, number>>;
  /** Notes that the board sent. */ readonly notes: readonly string[];
  /** Why the board was lost for good; undefined when it was there to the end. */ readonly lost: string | undefined;
}

export interface ExamineOptions extends Partial<Terms> {
  /** Called after the Hello. */ readonly onHello?: (hello: Hello) => void;
  /** Called as each examination ends. */ readonly onDone?: (result: Examined) => void;
}

/** Opens the wire, again if need be. Rejects as `open` does when it cannot be opened the first time. */
export async function examine(open: () => Promise<Wire>, options: ExamineOptions = {}): Promise<BoardReport> {
  return new Examiner(open, options).run();
}

class Examiner {
  private readonly open: () => Promise<Wire>;
  private readonly options: ExamineOptions;
  private readonly terms: Terms;
  private readonly results: Examined[] = [];
  private readonly probes: Probe[] = [];
  private subject: Subject | undefined;
  private said: Hello | undefined;
  private lost: string | undefined;
  private mute = false;

  constructor(open: () => Promise<Wire>, options: ExamineOptions) {
    this.open = open;
    this.options = options;
    this.terms = { ...TERMS, ...options };
  }

  async run(): Promise<BoardReport> {
    const link = (await this.attach()).wire.name;
    for (const examination of EXAMINATIONS) {
      const finding = await this.one(examination);
      const { id, title, does, expects, matters, mend } = examination;
      const result = Object.freeze({ id, title, does, expects, matters, mend, ...finding });
      this.results.push(result);
      this.options.onDone?.(result);
    }
    for (const { wire } of this.probes) await wire.close();
    const counts: Record<Verdict, number> = { holds: 0, mend: 0, warning: 0, 'not examined': 0 };
    for (const { verdict } of this.results) counts[verdict]++;
    const notes = this.probes.flatMap((probe) => probe.notes);
    return { link, hello: this.said, results: this.results, counts, notes, lost: this.lost };
  }

  private async attach(): Promise<Probe> {
    const probe = new Probe(await this.open());
    this.probes.push(probe);
    return probe;
  }

  private get probe(): Probe {
    return this.probes[this.probes.length - 1];
  }

  private async one(examination: Examination): Promise<Finding> {
    if (examination === clean) return this.overall();
    if (this.lost !== undefined) return notExamined(`the board is lost: ${this.lost}`);
    try {
      if (examination === hello) await this.introduce();
      if (!this.subject) return notExamined('there is no Hello that can be used');
      if (this.mute) return notExamined(`rests on ${oneDrive.id}, which does not hold`);
      const { hellos, greets } = this.probe;
      const finding = await examination.run(this.subject);
      const unasked = this.probe.hellos - hellos - (this.probe.greets - greets);
      const gone = this.probe.lost;
      if (gone !== undefined) await this.recover();
      if (examination === oneDrive && finding.verdict === 'mend') await this.tryOne();
      if (finding.verdict === 'mend') return finding;
      if (gone !== undefined) return toMend(`the link ended: ${gone}`);
      return unasked > 0 ? toMend(`it said Hello unasked: it has restarted. ${finding.saw}`) : finding;
    } catch (error) {
      if (!(error instanceof Broken)) throw error;
      await this.recover();
      return toMend(error.message);
    }
  }

  /** Whether a Sense is answered with its tick at all: what follows rests on it. */
  private async tryOne(): Promise<void> {
    try {
      await this.subject?.step();
    } catch (error) {
      if (!(error instanceof Broken)) throw error;
      this.mute = true;
    }
  }

  private async introduce(): Promise<void> {
    const { hello: said } = await greet(this.probe, this.terms);
    if (!this.said) this.options.onHello?.(said);
    this.said = said;
    this.subject = new Subject(this.probe, said, this.terms);
    this.subject.welcome();
    // A board may say Hello by itself at the start, beside the one asked for.
    await this.probe.pause(this.terms.settle_s);
    this.probe.forget();
  }

  /** Brings a board back that has gone astray; gives it up when neither Greet nor a new link helps. */
  private async recover(): Promise<void> {
    if (!this.said) {
      if (this.probe.hellos === 0) this.lost = this.probe.lost ?? 'it says no Hello';
      return;
    }
    for (const anew of [false, true]) {
      try {
        if (anew || this.probe.lost !== undefined) {
          await this.probe.wire.close();
          await this.attach();
        }
        await this.introduce();
        this.lost = undefined;
        return;
      } catch (error) {
        this.lost = (error as Error).message;
      }
    }
    this.subject = undefined;
  }

  /** What every wire of this board has carried. */
  private async overall(): Promise<Finding> {
    if (!this.subject && this.probes.every(({ bytes }) => bytes === 0)) return notExamined('nothing was heard');
    let last: Finding = notExamined('nothing was heard');
    for (const probe of this.probes) {
      last = await clean.run({ probe } as Subject);
      if (last.verdict === 'mend') return last;
    }
    return last;
  }
}
