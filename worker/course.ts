/** A bench and the hands on it: what a person does takes effect here and nowhere else, now or when it is gone through again. */
import { TRIP_TEXT } from '../src/control/tables.ts';
import type { BenchCore } from '../src/runner/core.ts';
import { SIGNAL_INDEX } from '../src/signals.ts';
import type { Hands } from './api.ts';
import { Finger } from './finger.ts';
import type { MadeBench } from './make-bench.ts';
import type { DeedDone, FaultDeed } from './past-api.ts';
import { setHands } from './set-hands.ts';

/**
 * Faults of the running bench. All that changes stands in own fields (numbers, strings, arrays, plain objects, instances), so
 * that a snapshot sees it; the same deeds at the same ticks make the same bits.
 */
export interface FaultHand {
  /** Throws RangeError when the deed is not allowed; then nothing has changed. */ take(deed: FaultDeed): void;
  /** Before each tick. */ act(bench: BenchCore): void;
  /** How often a fault has come into force. */ readonly begun: number;
}

export class Course {
  readonly made: MadeBench;
  readonly faults: FaultHand;
  readonly finger = new Finger();

  constructor(made: MadeBench) {
    this.made = made;
    this.faults = made.faults;
  }

  /** Before each tick. */
  before(): void {
    const { bench } = this.made;
    this.finger.move(bench.plant);
    this.faults.act(bench);
  }

  /** Lets a deed take effect. Throws RangeError when it is not allowed. */
  apply(deed: DeedDone): void {
    const { made, finger } = this;
    const { plant } = made.bench;
    if (deed.kind === 'hands') {
      const { trigger, ...rest } = deed.hands;
      setHands(plant, rest);
      if (trigger === undefined) return;
      finger.aim(plant, trigger);
      if (trigger > 0) made.held.held = false;
    } else if (deed.kind === 'stop') {
      this.letGo();
      made.held.held = true;
      plant.hands.set('grip', 0);
    } else if (deed.kind === 'new screw') plant.hands.placeNew(0);
    else this.faults.take(deed);
  }

  /** Whether a deed asks for what is there anyway. */
  changesNothing(deed: DeedDone): boolean {
    const now = this.hands();
    if (deed.kind === 'stop') return this.made.held.held && now.trigger === 0 && now.grip_Nm === 0;
    if (deed.kind !== 'hands') return false;
    return Object.entries(deed.hands).every(([key, value]) => now[key as keyof Hands] === value);
  }

  /** What the hands do now; the trigger as far as the finger is going to squeeze it, or a scenario has. */
  hands(): Required<Hands> {
    const { hands } = this.made.bench.plant;
    return {
      trigger: Math.max(this.finger.aimed, hands.get('trigger')),
      direction: hands.get('direction'),
      gear: hands.get('gear'),
      grip_Nm: hands.get('grip'),
      meets: hands.get('meets'),
      clutch: hands.get('clutch'),
      wrist: hands.get('wrist'),
      push_N: hands.get('push'),
    };
  }

  /** What the controller says why it tripped. */
  tripWords(): string {
    const reason = this.made.bench.sample[SIGNAL_INDEX.tripReason];
    return TRIP_TEXT[reason] ?? `reason ${reason}`;
  }

  /** The finger leaves the trigger at once. */
  letGo(): void {
    this.finger.aim(this.made.bench.plant, 0);
  }
}
