/**
 * The opening demonstration: once after loading, the built-in controller drives a screw while these hands squeeze the
 * trigger. It uses the same hands as a person, and any touch ends it.
 */
import type { Session } from './session.ts';

/** Trigger travel over time: a slow bite, a steady drive, a firm end, let go. */
const SQUEEZE: readonly (readonly [number, number])[] = [
  [0.6, 0],
  [0.9, 0.16],
  [2.6, 0.16],
  [3.4, 0.34],
  [6.6, 0.34],
  [6.9, 0.3],
];
const LONGEST_S = 9;
const WATCH_MS = 40;
/** Depth below the head at which the hand lets go once the head pulls the boards together [m]. */
const SEATED_M = 0.0003;

export class Opening {
  private readonly session: Session;
  private readonly started_s = performance.now() / 1000;
  private readonly timer: ReturnType<typeof setInterval>;
  private readonly onEnd: () => void;
  private readonly depth_m: () => number;
  private ended = false;

  /** @param depth_m reads the screw depth; @param onEnd called once, however it ends */
  constructor(session: Session, depth_m: () => number, onEnd: () => void) {
    this.session = session;
    this.depth_m = depth_m;
    this.onEnd = onEnd;
    this.timer = setInterval(() => this.move(), WATCH_MS);
  }

  /** A person took over: the hands stay where the person puts them. */
  end(release: boolean): void {
    if (this.ended) return;
    this.ended = true;
    clearInterval(this.timer);
    if (release) this.session.setHands({ trigger: 0 }, 'demonstration');
    this.onEnd();
  }

  private move(): void {
    const t_s = performance.now() / 1000 - this.started_s;
    const seated = this.depth_m() >= this.session.info.screw.seat_m + SEATED_M;
    const { closed } = this.session;
    if (t_s > LONGEST_S || seated || closed) {
      this.end(!closed);
      return;
    }
    const trigger = follow(t_s);
    if (Math.abs(trigger - this.session.hands.trigger) > 0.004) this.session.setHands({ trigger }, 'demonstration');
  }
}

/** Straight lines between the points of the squeeze. */
function follow(t_s: number): number {
  const next = SQUEEZE.findIndex(([at]) => at > t_s);
  if (next < 0) return SQUEEZE[SQUEEZE.length - 1][1];
  if (next === 0) return 0;
  const [t0, v0] = SQUEEZE[next - 1];
  const [t1, v1] = SQUEEZE[next];
  return v0 + ((v1 - v0) * (t_s - t0)) / (t1 - t0);
}
