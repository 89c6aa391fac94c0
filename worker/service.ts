/**
 * Runs a bench in real time and sends its samples away. Timers give the moments at which to look at the clock; how much
 * is due comes from the clock itself. Work is cut into short turns with a message between them, so that Stop and the
 * hands get in within a few milliseconds even when the machine cannot keep up. A board behind a link is walked with
 * (walk.ts); everything else is the same for both.
 */
import { requireRange } from '../src/units/checks.ts';
import type { DrillApi, Hands } from './api.ts';
import { type BlockViews, HEAD_INDEX, MAX_TICKS } from './block.ts';
import { BlockPost } from './block-post.ts';
import { CATALOG } from './catalog.ts';
import { Course } from './course.ts';
import { faultCalls } from './fault-calls.ts';
import type { Begun } from './go-through.ts';
import { Joining } from './joining.ts';
import { infoOf, type MadeBench, makeBench, makeBoardBench } from './make-bench.ts';
import { drillNamed } from './named.ts';
import { NewsDesk } from './news-desk.ts';
import { scenarioWith } from './otherwise.ts';
import { Pacer, SLICE_MS, TURN_MS } from './pacer.ts';
import { Past } from './past.ts';
import type { DeedDone } from './past-api.ts';
import { pastCalls } from './past-calls.ts';
import { playScenario } from './play-scenario.ts';
import { Recorder } from './recorder.ts';
import { RecordingCalls } from './recording-calls.ts';
import { makeScene, Scene } from './scene.ts';
import { Walk } from './walk.ts';
import { warmUp } from './warm-up.ts';

/** Periods run between two looks at the clock inside a turn: 0.2 ms at 20 kHz, where the machine keeps up. */
const BATCH = 4;
/** Least time between two blocks [ms]: one frame of a usual screen. */
const BLOCK_MS = 15;
/** Periods from Stop until the legs are open: a command is in force from the next update point on. */
const STOP_TICKS = 2;
/** Between two news about the controller [ms]; a block goes along when none went since. */
const NEWS_MS = 200;

export class DrillService {
  private made: MadeBench | undefined;
  private past: Past | undefined;
  /** Names and seed of the bench on show, when its controller is built in. */ private begun: Begun | undefined;
  private walk: Walk | undefined;
  private armed = true;
  /** Periods after Stop that are still to be shown. */ private unshown = 0;
  private readonly joining = new Joining(() => this.report());
  private readonly news = new NewsDesk();
  private readonly recorder = new Recorder();
  private readonly recordings = new RecordingCalls();
  private readonly pacer = new Pacer();
  private readonly post = new BlockPost();
  private readonly hop = new MessageChannel();
  /** The next turn is under way as a message. */ private hops = false;
  private timer: ReturnType<typeof setTimeout> | undefined;
  private running = false;
  private epoch = 0;
  private turns = 0;

  constructor() {
    this.hop.port1.onmessage = () => {
      this.hops = false;
      this.turn();
    };
  }

  /** The frozen set of functions that the page may call. */
  facade(): DrillApi {
    return Object.freeze<DrillApi>({
      ...CATALOG,
      load: (drill, controller, seed) => {
        warmUp(drill, controller);
        const made = makeBench(drill, controller, seed);
        this.put(made, { drill, controller, seed });
        return infoOf(made, controller);
      },
      connect: async (drill, place, seed, lent, wanted) => {
        const params = drillNamed(drill);
        const opened = await this.joining.open({ place, lent, wanted }, params);
        if (!opened.ok) return opened;
        const made = makeBoardBench(drill, opened.link, seed);
        this.put(made, undefined);
        void opened.lost.then(({ message }) => {
          made.bench.loseController(message);
          this.report();
        });
        const info = infoOf(made, opened.link.hello.board);
        return opened.again === '' ? { ok: true, info } : { ok: true, info, again: opened.again };
      },
      arm: (on) => {
        this.armed = on && this.bench().controllerLost === '';
        if (!on) this.letGo();
        this.send();
        this.report();
      },
      disconnect: () => {
        this.joining.giveUp();
        if (this.made?.coupling === 'lock-step') this.leave(this.made);
        this.send();
        this.report();
      },
      attach: (port) => {
        this.post.attach(port, () => this.flushWaiting());
        this.send();
        setInterval(() => this.report(), NEWS_MS);
      },
      run: () => this.run(),
      freeze: () => this.freeze(),
      setPace: (pace) => {
        requireRange('pace', pace, 1e-4, 1, '');
        this.pacer.pace = pace;
        this.pacer.start(performance.now() / 1000);
      },
      step: (periods) => {
        requireRange('periods', periods, 1, 20000, '');
        this.past?.thaw();
        if (this.walk) void this.walk.step(Math.trunc(periods));
        else if (!this.running) this.advance(Math.trunc(periods));
        this.send();
      },
      setHands: (hands) => this.setHands(hands),
      stop: () => this.stop(),
      newScrew: () => this.deed({ kind: 'new screw' }),
      ...faultCalls((deed) => {
        this.deed(deed);
        this.report();
      }),
      ...pastCalls({
        past: () => this.pastNow(),
        begun: () => this.begun,
        rewind: (tick) => this.rewind(tick),
        changed: () => {
          this.send();
          this.report();
        },
      }),
      ...this.recordings.calls(() => this.pastNow()),
      playScenario,
      openScene: async (scenario, otherwise, upTo_s) => {
        requireRange('upTo_s', upTo_s, 0, scenario.duration_s, 's');
        const whole = scenarioWith(scenario, otherwise);
        this.freeze();
        const made = makeScene(whole);
        this.put(made, undefined);
        await this.goOn(made, Math.max(1, Math.round(upTo_s / made.bench.plant.period_s))); // before the first period nothing is known
        this.turns++; // hands of the page follow those of the scenario
        this.send();
        return infoOf(made, whole.controller);
      },
      fault: () => (this.made ? this.made.bench.plant.fault || this.made.bench.controllerLost : ''),
    });
  }

  /** A person does something that changes the run. Throws RangeError when it is not allowed. */
  private deed(deed: DeedDone): void {
    this.pastNow().deed(deed);
  }

  private pastNow(): Past {
    if (!this.past) throw new Error('no bench yet; call load() first');
    return this.past;
  }

  private bench() {
    if (!this.made) throw new Error('no bench yet; call load() first');
    return this.made.bench;
  }

  /** Puts another bench in place of the one there is; time goes on if it ran. */
  private put(made: MadeBench, begun: Begun | undefined): void {
    this.recordings.leave();
    const before = this.made;
    const ran = this.running;
    this.freeze();
    this.walk?.end();
    this.walk = undefined;
    this.made = made;
    this.begun = begun;
    this.past?.ghost?.drop();
    const past = new Past(new Course(made));
    this.past = past;
    this.recorder.clear(made.bench.plant.tick);
    this.news.clear();
    this.pacer.lost_s = 0;
    this.pacer.ratio = 0;
    this.pacer.books = made.coupling === 'in-process';
    this.armed = made.coupling === 'in-process';
    this.epoch++;
    if (made.coupling === 'lock-step') {
      this.walk = new Walk(made.bench, this.pacer, {
        before: () => past.before(),
        after: () => this.noteStep(made),
        turn: () => this.sendWhenDue(),
      });
    }
    if (before?.coupling === 'lock-step') this.leave(before);
    if (ran) this.run();
  }

  /** Ends a link in good order; whoever still drives with it is lost to it. */
  private leave({ bench, held }: Extract<MadeBench, { coupling: 'lock-step' }>): void {
    if (bench === this.made?.bench) {
      this.armed = false;
      this.letGo();
      bench.loseController(`${held.name}: disconnected here`);
    }
    held.held = true; // lets a tick end that waits for its answer
    void held.close();
  }

  private run(): void {
    this.bench();
    if (this.running) return;
    this.past?.thaw();
    this.running = true;
    if (this.walk) {
      this.walk.run();
      return;
    }
    this.pacer.start(performance.now() / 1000);
    this.turn();
  }

  private freeze(): void {
    this.running = false;
    this.walk?.freeze();
    clearTimeout(this.timer);
    this.send();
  }

  private setHands(hands: Hands): void {
    this.bench();
    const { trigger, ...rest } = hands;
    const locked = trigger !== undefined && trigger > 0 && !this.armed;
    const taken = locked ? rest : hands;
    if (Object.keys(taken).length > 0) this.deed({ kind: 'hands', hands: taken });
  }

  private stop(): void {
    if (!this.made) return;
    this.deed({ kind: 'stop' });
    this.unshown = STOP_TICKS;
    // The legs are open when this returns, or as soon as the tick under way is: no timer is waited for.
    if (this.running) {
      this.walk?.hurry(STOP_TICKS);
      this.advance(STOP_TICKS);
      if (!this.walk) this.pacer.done(STOP_TICKS * this.made.bench.plant.period_s);
    }
    this.send();
  }

  /** The finger leaves the trigger at once. */
  private letGo(): void {
    if (this.past && this.past.course.hands().trigger > 0) this.deed({ kind: 'hands', hands: { trigger: 0 } });
  }

  /** Freezes, and puts the bench to a tick of this run. */
  private rewind(tick: number) {
    const past = this.pastNow();
    const { made } = past.course;
    const refused = past.reach(tick);
    if (refused !== '') return { ok: false as const, why: refused };
    this.freeze();
    const done = past.rewindTo(
      tick,
      MAX_TICKS,
      (from) => this.recorder.clear(from),
      () => this.note(made),
    );
    this.turns++;
    return done;
  }

  /** One turn: what is due, at most TURN_MS of work, then messages get their chance. */
  private turn(): void {
    if (!this.running || this.walk) return;
    clearTimeout(this.timer); // one turn follows, however this one came about
    const period_s = this.bench().plant.period_s;
    const begin_ms = performance.now();
    const lost_s = this.pacer.lost_s;
    let due = Math.floor(this.pacer.due(begin_ms / 1000) / period_s);
    if (this.pacer.lost_s > lost_s) this.past?.slow(this.pacer.lost_s - lost_s);
    while (due > 0 && this.running && performance.now() - begin_ms < TURN_MS) {
      const count = Math.min(due, BATCH);
      this.advance(count);
      this.pacer.done(count * period_s);
      due -= count;
    }
    this.sendWhenDue();
    if (!this.running) return;
    if (due > 0) {
      if (!this.hops) this.hop.port2.postMessage(0);
      this.hops = true;
    } else this.timer = setTimeout(() => this.turn(), SLICE_MS);
  }

  private advance(periods: number): void {
    const { made, past } = this;
    if (made?.coupling !== 'in-process' || !past) return;
    const { bench } = made;
    for (let k = 0; k < periods && bench.plant.fault === ''; k++) {
      past.before();
      bench.tickOnce();
      const holds = past.after();
      this.note(made);
      if (holds) {
        this.standStill();
        return;
      }
    }
  }

  /** The condition to freeze holds. */
  private standStill(): void {
    this.freeze();
    this.report();
  }

  /** Goes on to a tick as fast as it goes, in turns between which messages get in. Ends early when another bench is put there. */
  private async goOn(made: MadeBench, tick: number): Promise<void> {
    const { plant } = made.bench;
    while (this.made === made && plant.tick < tick && plant.fault === '') {
      const begin_ms = performance.now();
      while (plant.tick < tick && plant.fault === '' && performance.now() - begin_ms < TURN_MS)
        this.past?.goTo(Math.min(tick, plant.tick + BATCH), () => this.note(made));
      this.sendWhenDue();
      await new Promise((next) => setTimeout(next, 0));
    }
    this.send();
    this.report();
  }

  /** Writes one period down. */
  private note({ bench, speedWatch, angleWatch, polePairs }: MadeBench): void {
    const { plant } = bench;
    // Electrical speed and angle that the controller believes in, NaN when it tells none.
    const told = plant.powered && bench.controllerLost === '';
    const speed_rad_s = told && speedWatch >= 0 ? bench.drive.watch[speedWatch] * polePairs : Number.NaN;
    const angle_rad = told && angleWatch >= 0 ? bench.drive.watch[angleWatch] : Number.NaN;
    this.recorder.note(bench.sample, speed_rad_s, plant.hands.meets, angle_rad);
    this.recordings.see(plant.tick, bench.sample);
  }

  /** Writes one period of a walk down; the one with the legs open after Stop is shown at once, who knows when the next comes. */
  private noteStep(made: MadeBench): void {
    const holds = this.past?.after();
    this.note(made);
    if (holds) this.standStill();
    if (this.unshown > 0 && --this.unshown === 0) this.send();
  }

  private sendWhenDue(): void {
    if (performance.now() - this.post.sent_ms >= BLOCK_MS) this.send();
  }

  /** What is new about the controller; and a block, when waiting for an answer has kept one from going. */
  private report(): void {
    if (!this.made || !this.post.open) return;
    if (this.made.bench.controllerLost !== '' && this.armed) {
      this.armed = false;
      this.letGo();
    }
    this.post.tell(this.news.collect(this.made, this.armed, this.joining.waitsFor, this.pastNow().news()));
    if (this.running && this.walk && performance.now() - this.post.sent_ms >= NEWS_MS) {
      this.pacer.due(performance.now() / 1000); // the ratio sinks while nothing moves
      this.send();
    }
  }

  private send(): void {
    if (this.made) this.post.send(this.fill);
  }

  private readonly fill = (block: BlockViews): void => {
    const { made } = this;
    if (!made) return;
    const { head } = block;
    head[HEAD_INDEX.running] = this.running ? 1 : 0;
    head[HEAD_INDEX.pace] = this.pacer.pace;
    head[HEAD_INDEX.ratio] = this.pacer.ratio;
    head[HEAD_INDEX.lost_s] = this.pacer.lost_s;
    head[HEAD_INDEX.stopped] = made.held.held ? 1 : 0;
    head[HEAD_INDEX.fault] = made.bench.plant.fault ? 1 : 0;
    head[HEAD_INDEX.lockStep] = made.coupling === 'lock-step' ? 1 : 0;
    head[HEAD_INDEX.gone] = made.bench.controllerLost ? 1 : 0;
    head[HEAD_INDEX.armed] = this.armed ? 1 : 0;
    head[HEAD_INDEX.epoch] = this.epoch;
    head[HEAD_INDEX.turn] = this.turns;
    head[HEAD_INDEX.tick] = made.bench.plant.tick;
    this.past?.tellHands(head);
    const faults = this.made?.faults;
    if (this.running && faults instanceof Scene && faults.moves) head[HEAD_INDEX.again] = 1;
    this.recorder.fill(block);
  };

  /** While frozen nothing else sends what has piled up. */
  private flushWaiting(): void {
    if (!this.running && (this.post.owed || this.recorder.waiting > 0)) this.send();
  }
}
