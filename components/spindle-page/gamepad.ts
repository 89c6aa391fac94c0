/**
 * A gamepad as a hand: its right trigger is the trigger of the drill, its button B is Stop. Only pads with the standard layout of
 * the Gamepad recommendation are used (W3C, "Standard Gamepad": button 7 lower right trigger, button 1 right of the right
 * cluster; from memory); of another layout nobody knows which button is which.
 *
 * Browsers tell of a pad by nothing but looking, so it is looked at once a frame.
 */
export interface PadTargets {
  /** The right trigger has moved to this travel, 0 to 1. */ pull(travel: number): void;
  stop(): void;
  /** There is a pad: used, or of another layout; '' for none. */ told(pad: PadState): void;
}
export type PadState = '' | 'used' | 'odd';

/** What is read of a pad; the Gamepad of the browser is one. */
export interface PadSeen {
  readonly mapping: string;
  readonly connected: boolean;
  readonly buttons: readonly { readonly pressed: boolean; readonly value: number }[];
}

const TRIGGER = 7;
const B = 1;
/** Travel below which a trigger rests, and the least change that is passed on. */
const RESTS = 0.04;
const STEP = 0.004;

/** The pads that the browser tells of; none where it does not know pads or may not tell. */
export function readPads(): readonly (PadSeen | null)[] {
  try {
    return navigator.getGamepads?.() ?? NO_PADS;
  } catch {
    return NO_PADS; // forbidden by a policy of whoever embeds the page
  }
}
const NO_PADS: readonly PadSeen[] = [];

export class GamepadHand {
  private readonly targets: PadTargets;
  private travel = 0;
  private stopped = false;
  /** After Stop the trigger has to be let go before it squeezes again. */ private barred = false;
  private state: PadState = '';

  constructor(targets: PadTargets) {
    this.targets = targets;
  }

  /** Looks at all pads; the first one with the standard layout is the hand. */
  look(pads: readonly (PadSeen | null)[]): void {
    let pad: PadSeen | undefined;
    let odd = false;
    for (const seen of pads) {
      if (!seen?.connected) continue;
      if (seen.mapping === 'standard') pad ??= seen;
      else odd = true;
    }
    this.tell(pad ? 'used' : odd ? 'odd' : '');
    if (!pad) {
      // A pad that is pulled out squeezes no more.
      this.move(0);
      this.stopped = false;
      this.barred = false;
      return;
    }
    const stop = pad.buttons[B]?.pressed ?? false;
    const raw = pad.buttons[TRIGGER]?.value ?? 0;
    const travel = raw < RESTS ? 0 : Math.min(1, (raw - RESTS) / (1 - RESTS));
    if (stop && !this.stopped) {
      this.targets.stop();
      this.barred = true;
      this.travel = 0;
    }
    this.stopped = stop;
    if (travel === 0) this.barred = false;
    if (!this.barred) this.move(travel);
  }

  /** Stop came from elsewhere: what is held does not count until it is let go. */
  bar(): void {
    this.barred = this.travel > 0;
    this.travel = 0;
  }

  /** The page is not in front: what is held counts as let go. */
  letGo(): void {
    this.move(0);
    this.barred = true;
  }

  private move(travel: number): void {
    // A trigger at rest says nothing: the slider and the keys keep theirs.
    const ends = (travel === 0) !== (this.travel === 0) || (travel === 1) !== (this.travel === 1);
    if (!ends && Math.abs(travel - this.travel) < STEP) return;
    this.travel = travel;
    this.targets.pull(travel);
  }

  private tell(state: PadState): void {
    if (state === this.state) return;
    this.state = state;
    this.targets.told(state);
  }
}
