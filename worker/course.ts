/** A bench and the hands on it: what a person does takes effect here and nowhere else, now or when it is gone through again. */
import type { BenchCore } from '../src/runner/core.ts';
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
}

export class Course {
  readonly made: MadeBench;
  readonly faults: FaultHand | undefined;
  readonly finger = new Finger();

  constructor(made: MadeBench, faults?: FaultHand) {
    this.made = made;
    this.faults = faults;
  }

  /** Before each tick. */
  before(): void {
    const { bench } = this.made;
    this.finger.move(bench.plant);
    this.faults?.act(bench);
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
    else if (this.faults) this.faults.take(deed);
    else throw new RangeError('this bench takes no faults');
  }

  /** The finger leaves the trigger at once. */
  letGo(): void {
    this.finger.aim(this.made.bench.plant, 0);
  }
}
