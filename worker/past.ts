/**
 * The past of the run on the bench: what it leaves behind, the deeds that made it, and the way back. The same deeds from the same
 * state make the same bits, so going back is putting a snapshot back and going through the deeds up to the moment.
 */
import { FAULTS } from '../src/faults/catalogue.ts';
import { Keeper, type Snapshot } from '../src/runner/keeper.ts';
import { Archive, COLUMN_TICKS } from './archive.ts';
import { HEAD_INDEX } from './block.ts';
import type { Course } from './course.ts';
import { DeedLog } from './deeds.ts';
import { FreezeWatch } from './freeze-when.ts';
import { Ghost } from './ghost.ts';
import { heldBy } from './look.ts';
import { deedWords, PAST_WORDS } from './mark-words.ts';
import { Happenings, happened, Marks, togetherTicks } from './marks.ts';
import type { DeedDone, FreezeEvent, FreezeWhen, NoPast, PastNews, Rewound } from './past-api.ts';

/** Ticks between two snapshots: whole columns, 0.25 s at 20 kHz. */
const SNAP_TICKS = 50 * COLUMN_TICKS;
/** Older snapshots are thinned out: age, and what lies between two of that age, in snapshots. */
const THIN: readonly (readonly [number, number])[] = [
  [480, 20],
  [120, 4],
];
/** Snapshots older than this are dropped, as are the spans of that time. */
const OLDEST = 2400;

/** Moments of lost time that are kept. */
const GAPS_MOST = 2000;
const HAND_NAMES = ['trigger', 'direction', 'gear', 'grip_Nm', 'meets', 'clutch', 'wrist', 'push_N'] as const;
const NO_EVENTS: readonly FreezeEvent[] = Object.freeze([]);

interface Kept {
  readonly tick: number;
  readonly plant: Float64Array;
  readonly rest: Snapshot;
}

/** What the bench tells of a period that it went through again. */
export type OnPeriod = () => void;

let pasts = 0;

export class Past {
  readonly course: Course;
  readonly archive: Archive;
  readonly marks = new Marks();
  readonly log: DeedLog;
  /** Tick at which the run began. */ readonly start: number;
  readonly gaps: [number, number][] = [];
  /** Why nobody can rewind, '' when it can be done. */ readonly fixed: string;
  ghost: Ghost | undefined;
  frozen: PastNews['frozen'];
  private readonly number = ++pasts;
  private freezes = 0;
  private readonly happenings = new Happenings();
  private readonly keeper: Keeper | undefined;
  private readonly snapshots: Kept[] = [];
  /** Where a period was gone through step by step last: the next one is mostly near. */ private near: Kept | undefined;
  private readonly together: number;
  private watch: FreezeWatch | undefined;
  private faultsBegun = 0;

  /** @param deeds to go through from the start; @param snapshots kept, so that one can go back */
  constructor(course: Course, { deeds = new DeedLog(), snapshots = true } = {}) {
    this.course = course;
    this.log = deeds;
    this.log.place = 0;
    this.start = course.made.bench.plant.tick;
    const { made } = course;
    const { plant, hello } = made.bench;
    this.archive = new Archive(plant.period_s, hello.watch.length, plant.tick);
    this.together = togetherTicks(plant.period_s);
    const { keeper, fixed } = snapshots ? this.makeKeeper() : { keeper: undefined, fixed: PAST_WORDS.noGhost };
    this.keeper = keeper;
    this.fixed = fixed;
    this.snap();
  }

  get tick(): number {
    return this.course.made.bench.plant.tick;
  }

  /** The present lies before the end. */
  get rewound(): boolean {
    return this.tick < this.archive.end || this.log.pending;
  }

  /** Earliest tick that can be gone back to. */
  get earliest(): number {
    return this.snapshots.length > 0 ? this.snapshots[0].tick : this.tick;
  }

  /** A person does something. Throws RangeError when it is not allowed; then nothing has happened. */
  deed(deed: DeedDone): void {
    if (this.rewound) {
      if (this.course.changesNothing(deed)) return;
      this.carryOn();
    }
    this.course.apply(deed);
    this.log.add(this.tick, deed);
    const kind = deed.kind === 'fault' ? 'fault' : 'deed';
    this.marks.add(this.tick, kind, deedWords(deed), deed.kind === 'hands' ? this.together : 0);
  }

  /** Before a period: deeds that are gone through again, then what hands and faults do. */
  before(): void {
    for (let deed = this.log.due(this.tick); deed; deed = this.log.due(this.tick)) this.course.apply(deed);
    this.course.before();
  }

  /** After a period. True when the condition to freeze holds. */
  after(): boolean {
    const events = this.see();
    const { watch } = this;
    if (!watch?.due(this.reading, events)) return false;
    this.watch = undefined;
    this.freezes++;
    this.frozen = { at_s: this.now_s, by: watch.condition };
    if (this.tick === this.archive.end) this.marks.add(this.tick, 'freeze', PAST_WORDS.freeze);
    return true;
  }

  /** The machine was too slow: so much was lost here. */
  slow(lost_s: number): void {
    const { gaps, now_s } = this;
    const { period_s } = this.archive;
    const last = gaps.at(-1);
    const gap = last && now_s - last[0] < this.together * period_s ? last : ([now_s, 0] as [number, number]);
    gap[1] += lost_s;
    if (gap !== last) gaps.push(gap);
    if (gaps.length > GAPS_MOST) gaps.splice(0, GAPS_MOST / 2);
    this.marks.renew(Math.round(gap[0] / period_s), 'slow', PAST_WORDS.slow((gap[1] * 1000).toFixed(0)));
  }

  freezeWhen(condition: FreezeWhen | undefined): void {
    this.watch = condition && new FreezeWatch(condition, this.archive.width);
    this.frozen = undefined;
  }

  /**
   * Puts the bench to a tick of this run.
   *
   * @param lead periods before it that have to be gone through, if there are so many
   * @param from called with the tick of the snapshot before it goes on from there; @param each after every period since
   */
  rewindTo(tick: number, lead: number, from: (tick: number) => void, each: OnPeriod): Rewound | NoPast {
    const why = this.reach(tick);
    if (why !== '') return { ok: false, why };
    from(this.putBack(tick - lead));
    this.goTo(tick, each);
    this.watch?.forget();
    this.frozen = undefined;
    return { ok: true, at_s: this.now_s };
  }

  /** Why a tick cannot be gone to, '' when it can. */
  reach(tick: number): string {
    if (this.fixed !== '') return this.fixed;
    const { period_s, end } = this.archive;
    if (tick < this.earliest) return PAST_WORDS.early((this.earliest * period_s).toFixed(4));
    return tick > end ? PAST_WORDS.late((end * period_s).toFixed(4)) : '';
  }

  /** What comes after the present is kept as the ghost and forgotten here. */
  carryOn(): void {
    if (!this.rewound || this.fixed !== '') return;
    const { tick, archive, log, marks } = this;
    this.ghost?.drop();
    this.ghost = new Ghost(archive.copy(), marks.copy(), PAST_WORDS.before(this.now_s.toFixed(4)));
    log.cut();
    // The column that the present lies in is made anew, so that nothing of what came after is left in it.
    const from = this.putBack(tick);
    archive.cut(from);
    this.near = undefined;
    while (this.snapshots[this.snapshots.length - 1].tick > from) this.snapshots.pop();
    this.goTo(tick, () => {});
    for (let deed = log.due(tick); deed; deed = log.due(tick)) this.course.apply(deed);
    marks.cut(tick);
    while (this.gaps.length > 0 && this.gaps[this.gaps.length - 1][0] > this.now_s) this.gaps.pop();
    marks.add(tick, 'rewind', PAST_WORDS.rewind);
  }

  /** Runs `work` and puts everything back as it was. */
  aside<T>(work: () => T): T {
    const { keeper, log } = this;
    const { plant } = this.course.made.bench;
    const here = { plant: plant.snapshot(), rest: keeper!.save(), place: log.place };
    try {
      return work();
    } finally {
      plant.restore(here.plant);
      keeper!.restore(here.rest);
      log.place = here.place;
    }
  }

  /** Puts the bench to a tick by the shortest way, for a look at what follows. Within `aside` only. */
  lookFrom(tick: number): void {
    const { near } = this;
    if (near && near.tick <= tick && near.tick > this.snapshotBefore(tick).tick) this.take(near);
    else this.putBack(tick);
    this.goTo(tick, () => {});
    this.near = this.kept();
  }

  /** The nearest snapshot up to a tick is put back, and the log stands there; its tick, which begins a column. */
  putBack(tick: number): number {
    const kept = this.snapshotBefore(tick);
    this.take(kept);
    return kept.tick;
  }

  private snapshotBefore(tick: number): Kept {
    const { snapshots } = this;
    let k = snapshots.length - 1;
    while (k > 0 && snapshots[k].tick > tick) k--;
    return snapshots[k];
  }

  private take(kept: Kept): void {
    const { keeper, log } = this;
    this.course.made.bench.plant.restore(kept.plant);
    keeper!.restore(kept.rest);
    log.seek(kept.tick);
  }

  private kept(): Kept {
    return { tick: this.tick, plant: this.course.made.bench.plant.snapshot(), rest: this.keeper!.save() };
  }

  /** Goes on to a tick, through the deeds on the way. */
  goTo(tick: number, each: OnPeriod): void {
    const { made } = this.course;
    if (made.coupling !== 'in-process') return;
    const { bench } = made;
    while (bench.plant.tick < tick && bench.plant.fault === '') {
      this.before();
      bench.tickOnce();
      this.see();
      each();
    }
  }

  news(): PastNews {
    const { archive, watch, frozen, ghost } = this;
    return {
      held: heldBy(archive),
      finest_s: archive.firstRow * archive.period_s,
      now_s: this.now_s,
      earliest_s: this.earliest * archive.period_s,
      fixed: this.fixed,
      rewound: this.rewound,
      bench: this.number,
      freezes: this.freezes,
      ...(watch ? { freezeWhen: watch.condition } : {}),
      ...(frozen ? { frozen } : {}),
      ...(ghost ? { ghost: ghost.news() } : {}),
      marks: this.marks.revision,
    };
  }

  get now_s(): number {
    return this.tick * this.archive.period_s;
  }

  /** Writes into the head of a block what the hands do. */
  tellHands(head: Float64Array): void {
    const hands = this.course.hands();
    head[HEAD_INDEX.again] = this.rewound ? 1 : 0;
    for (const name of HAND_NAMES) head[HEAD_INDEX[name]] = hands[name];
  }

  /** Time goes on: what froze it is told no more. */
  thaw(): void {
    this.frozen = undefined;
  }

  /** Sees what a period brought; what is gone through again is kept already. */
  private see(): readonly FreezeEvent[] {
    const { archive, happenings, course } = this;
    const { bench } = course.made;
    const lost = bench.controllerLost !== '';
    let events = happenings.look(bench.sample, lost, archive.period_s);
    const begun = course.faults.begun;
    if (begun > this.faultsBegun) events = [...events, 'fault'];
    this.faultsBegun = begun;
    const { tick } = bench.plant;
    if (tick !== archive.end + 1) return events;
    archive.note(bench.sample, bench.plant.powered && !lost ? bench.drive.watch : undefined);
    if (events !== NO_EVENTS && events.length > 0) this.mark(tick, events);
    if (tick % SNAP_TICKS === 0) this.snap();
    return events;
  }

  private mark(tick: number, events: readonly FreezeEvent[]): void {
    for (const event of events) {
      if (event === 'fault') this.marks.add(tick, 'fault', PAST_WORDS.began);
      else this.marks.add(tick, event, happened(event, this.course.tripWords()));
    }
  }

  private readonly reading = (place: number): number => {
    const { bench } = this.course.made;
    const signals = bench.sample.length;
    if (place < signals) return bench.sample[place];
    return bench.plant.powered && bench.controllerLost === '' ? bench.drive.watch[place - signals] : Number.NaN;
  };

  private makeKeeper(): { keeper?: Keeper; fixed: string } {
    const { made, finger, faults } = this.course;
    if (made.coupling !== 'in-process') return { fixed: PAST_WORDS.lockStep };
    const { bench } = made;
    const apart = [
      bench.plant,
      bench.plant.state,
      bench.plant.params,
      bench.board,
      bench.hello,
      ...Object.values(FAULTS),
    ];
    try {
      const roots = [bench, made.held, finger, this.happenings, faults];
      return { keeper: new Keeper(roots, apart), fixed: '' };
    } catch (error) {
      return { fixed: PAST_WORDS.hidden((error as Error).message) };
    }
  }

  private snap(): void {
    const { keeper, snapshots, tick } = this;
    if (!keeper) return;
    snapshots.push(this.kept());
    const age = (kept: Kept) => (tick - kept.tick) / SNAP_TICKS;
    const drop = snapshots.findIndex((kept) =>
      THIN.some(([old, each]) => age(kept) >= old && (kept.tick / SNAP_TICKS) % each !== 0),
    );
    if (drop >= 0) snapshots.splice(drop, 1);
    while (snapshots.length > 1 && age(snapshots[0]) > OLDEST) snapshots.shift();
  }
}
