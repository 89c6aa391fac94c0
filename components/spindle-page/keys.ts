/**
 * Keys of the page. Escape stops from anywhere, always. Letters work only outside of text fields, never together with
 * a modifier, and can be switched off as a whole; each of them has a visible control, so none is ever needed.
 */
export interface KeyTargets {
  stop(): void;
  /** T: squeeze while held. */ squeeze(on: boolean): void;
  /** G: grip while held. */ grip(on: boolean): void;
  direction(value: number): void;
  gear(value: number): void;
  /** Semicolon and colon: one PWM period; comma and period: one step of the model. Back (negative) or on, while frozen. */
  step(periods: number): void;
  /** F: faults of the part that was chosen last. */ faults(): void;
  /** Another window came to the front: whatever is held counts as let go. */ letGo(): void;
  readonly lettersOn: boolean;
}

const HOLD = new Set(['t', 'g']);
/** Periods that a key goes by; it may be held down. */
const STEPS: Readonly<Record<string, number>> = { ';': -1, ':': 1, ',': -0.02, '.': 0.02 };

export class Keys {
  private readonly targets: KeyTargets;
  private readonly held = new Set<string>();

  constructor(targets: KeyTargets) {
    this.targets = targets;
  }

  /** Listens on the window, Escape before anyone else can take it. */
  connect(): void {
    window.addEventListener('keydown', this.down, true);
    window.addEventListener('keyup', this.up, true);
    window.addEventListener('blur', this.letGo);
    document.addEventListener('visibilitychange', this.letGo);
  }

  disconnect(): void {
    window.removeEventListener('keydown', this.down, true);
    window.removeEventListener('keyup', this.up, true);
    window.removeEventListener('blur', this.letGo);
    document.removeEventListener('visibilitychange', this.letGo);
  }

  private readonly down = (e: KeyboardEvent): void => {
    if (e.key === 'Escape') {
      e.preventDefault();
      this.held.clear();
      this.targets.stop();
      return;
    }
    if (!this.targets.lettersOn || e.ctrlKey || e.altKey || e.metaKey || inField(e)) return;
    const key = e.key.toLowerCase();
    const step = STEPS[key];
    if (step !== undefined) this.targets.step(step);
    else if (HOLD.has(key)) {
      if (e.repeat || this.held.has(key)) return;
      this.held.add(key);
      this.hold(key, true);
    } else if (e.repeat) return;
    else if (key === 'i') this.targets.direction(1);
    else if (key === 'l') this.targets.direction(0);
    else if (key === 'o') this.targets.direction(-1);
    else if (key === '1' || key === '2') this.targets.gear(Number(key));
    else if (key === 'f') this.targets.faults();
    else return;
    e.preventDefault();
  };

  private readonly up = (e: KeyboardEvent): void => {
    const key = e.key.toLowerCase();
    if (this.held.delete(key)) this.hold(key, false);
  };

  /** A key that is let go while another window has the focus would never be heard. */
  private readonly letGo = (): void => {
    for (const key of this.held) this.hold(key, false);
    this.held.clear();
    this.targets.letGo();
  };

  private hold(key: string, on: boolean): void {
    if (key === 't') this.targets.squeeze(on);
    else this.targets.grip(on);
  }
}

/** Whether the key goes into a field that takes letters itself. */
export function inField(e: KeyboardEvent): boolean {
  const target = e.composedPath()[0];
  if (target instanceof HTMLInputElement) return target.type !== 'range';
  return target instanceof HTMLSelectElement || target instanceof HTMLTextAreaElement;
}
