/** The C starter on a link, fed with frames written by hand. */
import type { LockStepLink } from '../../src/links/link.ts';
import { openStdioLink } from '../../src/links/node-stdio.ts';
import { blankDrive, blankSense } from '../../src/protocol/codec.ts';
import { SENSE_BOOT, SENSE_HALL_SHIFT, SENSE_IN } from '../../src/protocol/frames.ts';
import { starterCommand } from '../support/c-starter.ts';

/** Ticks over which the starter takes its offsets. */
export const OFFSET_TICKS = 128;
/** Hall code A + 2 B + 4 C of each sector, by the convention in the frame tables: sector k is centered on 60 k degrees. */
export const CODES = [1, 3, 2, 6, 4, 5] as const;
export const ZERO = 2048;
/** Reading of the trigger pulled fully. */
export const PULLED = 3686;
/** Phase current of one count [A]: 12 bits of 3.3 V behind 0.5 mohm and a gain of 20. */
export const COUNT_A = 3.3 / 4096 / (0.0005 * 20);

export class StarterRig {
  readonly link: LockStepLink;
  readonly sense = blankSense();
  readonly drive;
  hall: number = CODES[0];
  /** Direction bits. */ direction = SENSE_IN;

  constructor(link: LockStepLink) {
    this.link = link;
    this.drive = blankDrive(link.hello.watch.length);
  }

  static async open(...args: string[]): Promise<StarterRig> {
    return new StarterRig(await openStdioLink(await starterCommand(...args), { hello_s: 30 }));
  }

  /** One boot with rest readings and the trigger released; afterwards the offsets are known. */
  async boot(): Promise<void> {
    Object.assign(this.sense, { ia: ZERO, ib: ZERO, ic: ZERO, link: 2000, trigger: 410, hallAge: 0xffff });
    for (let k = 0; k < OFFSET_TICKS; k++) await this.tick(k === 0 ? SENSE_BOOT : 0);
  }

  /** Boots with the rotor in a sector and pulls the trigger. */
  async ready(sector = 0, direction = SENSE_IN): Promise<void> {
    this.hall = CODES[sector];
    this.direction = direction;
    await this.boot();
    this.sense.trigger = PULLED;
  }

  /** One tick with the readings as they stand. */
  async tick(flags = 0): Promise<typeof this.drive> {
    this.sense.tick = (this.sense.tick + 1) >>> 0;
    this.sense.flags = flags | this.direction | (this.hall << SENSE_HALL_SHIFT);
    const result = await this.link.exchange(this.sense, this.drive);
    if (result !== 'ok') throw new Error(result.message);
    return this.drive;
  }

  async ticks(n: number): Promise<typeof this.drive> {
    for (let k = 0; k < n; k++) await this.tick();
    return this.drive;
  }

  /**
   * Turns the rotor at a steady electrical speed for n ticks of 50 us, from the start of the present sector on; codes
   * and edge ages are what a capture unit of 10 ns would give.
   */
  async turn(speed_rad_s: number, n: number): Promise<typeof this.drive> {
    const first = CODES.indexOf(this.hall as (typeof CODES)[number]);
    const sector_s = Math.PI / 3 / Math.abs(speed_rad_s);
    for (let k = 1; k <= n; k++) {
      const now_s = k * 50e-6;
      const edges = Math.floor(now_s / sector_s);
      this.hall = CODES[(((first + Math.sign(speed_rad_s) * edges) % 6) + 6) % 6];
      this.sense.hallAge = Math.min(Math.floor((now_s - edges * sector_s) * 1e8), 0xffff);
      await this.tick();
    }
    return this.drive;
  }
}
