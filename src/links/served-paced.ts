/**
 * The board's side of a rate-split link in TypeScript: Scenes in, Reports out, as a board would.
 *
 * Whatever turns the motor is behind PacedMotor. One that is a model runs its interval at once and reports before the
 * interval is over. One that measures in wall time closes its interval a little before the next Scene is due: the angle
 * is a running count, so nothing gets lost between two Reports.
 */
import { blankReport, blankScene, decodeScene, decodeWelcome, encodeReport } from '../protocol/codec.ts';
import { BYE, COUPLING_RATE_SPLIT, REPORT, type Report, SCENE, type Scene, WELCOME } from '../protocol/frames.ts';
import type { Hello } from '../protocol/hello.ts';
import { PAYLOAD_AT } from '../protocol/packet.ts';
import { Unwrap } from '../protocol/unwrap.ts';
import { BoardSide } from './board-side.ts';

export interface PacedMotor {
  readonly hello: Hello;
  /** Runs for span_s under a Scene and fills every field of the Report but its number; must not keep either object. */
  run(scene: Scene, span_s: number, report: Report): void;
}

/** Intervals that are made up for at most when Scenes were missing; a longer gap is a pause of the drill. */
const MAKE_UP = 10;

export class ServedPaced extends BoardSide {
  /** Scenes that came, and numbers that were skipped. */
  readonly counters = { scenes: 0, missed: 0 };
  private readonly motor: PacedMotor;
  private readonly scene = blankScene();
  private readonly report: Report;
  private readonly numbers = new Unwrap(16);
  private readonly clock = new Unwrap(32);
  private tick_s = 0;

  /** `send` and `messages` as BoardSide says. */
  constructor(motor: PacedMotor, send: (bytes: Uint8Array) => void, messages = false) {
    super(motor.hello, send, messages);
    this.motor = motor;
    this.report = blankReport(motor.hello.watch.length);
  }

  protected override take(id: number, bytes: Uint8Array, length: number): void {
    if (id === SCENE.id && decodeScene(bytes, this.scene, PAYLOAD_AT, length) === 'ok') this.answer();
    else if (id === WELCOME.id) this.takeWelcome(bytes, length);
    else if (id === BYE.id) this.tick_s = 0;
  }

  private takeWelcome(bytes: Uint8Array, length: number): void {
    const welcome = { version: 0, coupling: 0, credits: 0, tick: 0, patience: 0 };
    if (decodeWelcome(bytes, welcome, PAYLOAD_AT, length) !== 'ok') return;
    this.tick_s = welcome.coupling === COUPLING_RATE_SPLIT ? welcome.tick * 1e-9 : 0;
    this.numbers.reset();
    this.clock.reset();
  }

  private answer(): void {
    const { scene, report, counters, tick_s } = this;
    if (tick_s === 0) return; // not welcome yet, or no more
    const first = counters.scenes === 0;
    const step = first ? 1 : this.numbers.ahead(scene.number);
    this.numbers.take(scene.number);
    const passed_s = first ? tick_s : this.clock.ahead(scene.clock) * 1e-6;
    this.clock.take(scene.clock);
    counters.scenes++;
    if (step > 1) counters.missed += step - 1;
    // Where Scenes were missing the motor has gone on meanwhile.
    const missing = Math.max(0, Math.round(passed_s / tick_s) - 1);
    this.motor.run(scene, tick_s * (1 + (missing <= MAKE_UP ? missing : 0)), report);
    report.number = scene.number;
    this.send(this.sender.wrap(REPORT.id, encodeReport(report, this.sender.packet, PAYLOAD_AT)));
  }
}
