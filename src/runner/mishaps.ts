/**
 * What befalls the board and the frames between drill and board, the same for every coupling.
 *
 * Sense   may be lost, refused by its checksum, carry a wrong bit, come twice, or after the next one. Without it the board is not
 *         asked in that tick, and the timer keeps what it has.
 * Drive   may be lost, refused, wrong or late. What it commands waits in the plant vector until it is due; a command that a
 *         newer one has overtaken is refused, because its tick says so.
 * Board   a reset opens the legs and is told as BOOT when the board is up again. A clock that is fast counts a tick more now and
 *         then, and the board works through the same readings twice; one that is slow leaves a tick out. Between two
 *         of its ticks the board believes one period has passed; times that its capture unit stamps are off by the same share.
 * State   all in the plant vector, chance too, so that a rewound run has the same mishaps.
 */

import type { Plant } from '../plant/plant.ts';
import { drawEven } from '../plant/random.ts';
import { COMMANDS, slot } from '../plant/slots.ts';
import { blankSense } from '../protocol/codec.ts';
import { HALL_AGE_MOST, SENSE_BOOT, type Sense } from '../protocol/frames.ts';
import { type Command, copySense, packCommand, READINGS, release, unpackCommand, withhold } from './mishap-packing.ts';

/** How often each mishap happened; none of them makes a run invalid. A key is there once its mishap has happened. */
export interface MishapCounts {
  /** Resets of the board. */ boardResets?: number;
  /** Ticks that the board counted too much, or left out. */ clockSlips?: number;
  /** Sense frames that did not arrive. */ sensesLost?: number;
  /** Drive frames that did not arrive. */ drivesLost?: number;
  /** Frames among these that the checksum refused. */ framesRefused?: number;
  /** Frames that arrived with a wrong bit. */ framesWrong?: number;
  /** Sense frames that came twice. */ sensesDoubled?: number;
  /** Sense frames that came after the next one. */ sensesOvertaken?: number;
  /** Commands that were late. */ commandsLate?: number;
  /** Commands that a newer one overtook. */ commandsOvertaken?: number;
  /** Commands that the frozen timer did not take. */ commandsIgnored?: number;
}

/** What becomes of a tick: the board is asked; it is not and the timer keeps what it has; it is down. */
export const ASKED = 0;
export const UNASKED = 1;
export const DOWN = 2;

/** Mean length of a burst of losses [ticks]; illustrative. */
export const BURST_TICKS = 20;
/** Most ticks that a frame which is late comes later than others. */
const LATE_TICKS = 3;
/** A part of a tick that is rounding. */
const ROUNDING = 1e-6;
const BITS = 16;

const FIRST = slot('boardReset');
const ROWS = slot('framesWrong') + 1 - FIRST;
const RESET = slot('boardReset');
const FROZEN = slot('outputFrozen');
const ANSWER = slot('answerLate');
const SKEW = slot('clockSkew');
const LOST = slot('framesLost');
const BURST = slot('framesBurst');
const LATE = slot('framesLate');
const DOUBLED = slot('framesDoubled');
const TURNED = slot('framesTurned');
const CORRUPT = slot('framesCorrupt');
const WRONG = slot('framesWrong');

const CHANCE = slot('chance');
const BEGUN = slot('mishaps');
const RESET_SEEN = slot('resetSeen');
const UP_AT = slot('downUntil');
const BOOT_OWED = slot('bootOwed');
const AHEAD = slot('clockAhead');
const CLOCK_TICKS = slot('clockTicks');
const LINK_DOWN = slot('linkDown');
const WITHHELD = slot('withheld');
const OBEYED = slot('obeyed');
const COMMAND = slot('command0');
const FROM = slot('from0');

/** Further asks of a tick. */
const AGAIN = 1;
const EXTRA = 2;
const OVERTAKEN = 4;

export class Mishaps {
  /** What the board is told. */ readonly heard: Sense = blankSense();
  /** What the timer takes; valid after take(). */
  readonly taken: Command = { gates: 0, dutyA: 0, dutyB: 0, dutyC: 0 };
  /** This ask repeats the one before, byte for byte. */ repeats = false;
  /** This ask is for a Sense that the next one has overtaken. */ old = false;
  private readonly plant: Plant;
  private readonly x: Float64Array;
  private readonly counts: MishapCounts;
  private readonly wrong: Command = { gates: 0, dutyA: 0, dutyB: 0, dutyC: 0 };
  private todo = 0;

  constructor(plant: Plant, counts: MishapCounts) {
    this.plant = plant;
    this.x = plant.state;
    this.counts = counts;
  }

  /** Whether anything is amiss, or ever was. */
  begun(): boolean {
    const { x } = this;
    if (x[BEGUN] !== 0) return true;
    for (let k = 0; k < ROWS; k++) if (x[FIRST + k] !== 0) x[BEGUN] = 1;
    return x[BEGUN] !== 0;
  }

  /** A tick without supply: nothing is on its way any more. */
  dark(): void {
    const { x } = this;
    this.forget();
    x[RESET_SEEN] = x[RESET];
    x[UP_AT] = 0;
  }

  /** Start of a tick: what becomes of its Sense. Fills `heard` when the board is asked. */
  begin(sense: Sense): number {
    const { x, heard } = this;
    this.todo = 0;
    this.repeats = false;
    this.old = false;
    if ((sense.flags & SENSE_BOOT) !== 0) x[BOOT_OWED] = 1;
    if (this.isDown()) {
      this.forget();
      return DOWN;
    }
    this.moveBurst();
    copySense(sense, heard);
    if (this.slips()) return UNASKED;
    if (this.misses()) {
      this.count('sensesLost');
      return UNASKED;
    }
    if (x[WITHHELD] === 0 && this.draws(TURNED)) {
      withhold(x, heard);
      x[WITHHELD] = heard.tick + 1;
      this.todo = 0;
      this.count('sensesOvertaken');
      return UNASKED;
    }
    if (x[WITHHELD] !== 0) this.todo |= OVERTAKEN;
    if (x[BOOT_OWED] === 1) heard.flags |= SENSE_BOOT;
    x[BOOT_OWED] = 0;
    if (this.draws(WRONG)) {
      this.count('framesWrong');
      heard[READINGS[this.drawWhole(READINGS.length)]] ^= 1 << this.drawWhole(BITS);
    }
    if (this.draws(DOUBLED)) {
      this.count('sensesDoubled');
      this.todo |= AGAIN;
    }
    return ASKED;
  }

  /** After an answer: whether the board is asked once more in this tick; then `heard` is what it is told. */
  again(): boolean {
    const { x, heard, todo } = this;
    this.repeats = (todo & AGAIN) !== 0;
    if (this.repeats) {
      this.todo &= ~AGAIN;
      return true;
    }
    if ((todo & EXTRA) !== 0) {
      this.todo &= ~EXTRA;
      heard.tick = (heard.tick + 1) >>> 0;
      heard.flags &= ~SENSE_BOOT;
      return true;
    }
    if ((todo & OVERTAKEN) === 0) return false;
    this.todo = 0;
    this.old = true;
    release(x, heard);
    heard.tick = x[WITHHELD] - 1;
    x[WITHHELD] = 0;
    return true;
  }

  /** An answer goes on its way to the timer. */
  post(command: Command): void {
    const { x, plant, wrong } = this;
    if (this.misses()) {
      this.count('drivesLost');
      return;
    }
    let packed = packCommand(command);
    if (this.draws(WRONG)) {
      this.count('framesWrong');
      unpackCommand(packed, wrong);
      this.spoil(wrong);
      packed = packCommand(wrong);
    }
    let late = x[ANSWER] > 0 ? Math.ceil(x[ANSWER] / plant.period_s - ROUNDING) : 0;
    if (this.draws(LATE)) late += 1 + this.drawWhole(LATE_TICKS);
    if (late > 0) this.count('commandsLate');
    const { tick } = plant;
    const due = (tick + Math.min(late, COMMANDS - 1)) % COMMANDS;
    if (x[COMMAND + due] !== 0) this.count('commandsOvertaken');
    x[COMMAND + due] = packed;
    x[FROM + due] = tick;
  }

  /** Whether a command is due in this tick; then `taken` holds it. */
  take(): boolean {
    const { x } = this;
    const due = this.plant.tick % COMMANDS;
    const packed = x[COMMAND + due];
    if (packed === 0) return false;
    x[COMMAND + due] = 0;
    if (x[FROM + due] < x[OBEYED]) {
      this.count('commandsOvertaken');
      return false;
    }
    x[OBEYED] = x[FROM + due];
    if (x[FROZEN] === 1) {
      this.count('commandsIgnored');
      return false;
    }
    unpackCommand(packed, this.taken);
    return true;
  }

  /** One wrong bit in gates or duties. */
  private spoil(command: Command): void {
    const bit = this.drawWhole(3 + 3 * BITS);
    if (bit < 3) command.gates ^= 1 << bit;
    else if (bit < 3 + BITS) command.dutyA ^= 1 << (bit - 3);
    else if (bit < 3 + 2 * BITS) command.dutyB ^= 1 << (bit - 3 - BITS);
    else command.dutyC ^= 1 << (bit - 3 - 2 * BITS);
  }

  private isDown(): boolean {
    const { x, plant } = this;
    if (x[RESET] > 0 && x[RESET_SEEN] === 0) {
      x[UP_AT] = plant.tick + Math.max(1, Math.ceil(x[RESET] / plant.period_s - ROUNDING));
      x[BOOT_OWED] = 1;
      this.count('boardResets');
    }
    x[RESET_SEEN] = x[RESET];
    return plant.tick < x[UP_AT];
  }

  /** Moves the clock of the board on; true in a tick that it leaves out. */
  private slips(): boolean {
    const { x, heard } = this;
    x[AHEAD] += x[SKEW];
    const counted = x[CLOCK_TICKS];
    if (x[AHEAD] >= 1) {
      x[AHEAD] -= 1;
      x[CLOCK_TICKS] += 1;
      this.todo |= EXTRA;
      this.count('clockSlips');
    } else if (x[AHEAD] <= -1) {
      x[AHEAD] += 1;
      x[CLOCK_TICKS] -= 1;
      this.count('clockSlips');
      return true;
    }
    heard.tick = (heard.tick + counted) >>> 0;
    if (heard.hallAge < HALL_AGE_MOST)
      heard.hallAge = Math.min(HALL_AGE_MOST, Math.floor(heard.hallAge * (1 + x[SKEW])));
    return false;
  }

  private moveBurst(): void {
    const { x } = this;
    const share = x[BURST];
    if (share === 0) x[LINK_DOWN] = 0;
    else if (share === 1) x[LINK_DOWN] = 1;
    else if (x[LINK_DOWN] === 1) x[LINK_DOWN] = drawEven(x, CHANCE) * BURST_TICKS < 1 ? 0 : 1;
    else if (drawEven(x, CHANCE) * BURST_TICKS * (1 - share) < share) x[LINK_DOWN] = 1;
  }

  /** Whether the frame that is on its way now does not arrive. */
  private misses(): boolean {
    if (this.x[LINK_DOWN] === 1 || this.draws(LOST)) return true;
    if (!this.draws(CORRUPT)) return false;
    this.count('framesRefused');
    return true;
  }

  private draws(share: number): boolean {
    return this.x[share] > 0 && drawEven(this.x, CHANCE) < this.x[share];
  }

  /** A whole number from 0 to below `count`. */
  private drawWhole(count: number): number {
    return Math.floor(count * drawEven(this.x, CHANCE));
  }

  private forget(): void {
    const { x } = this;
    for (let k = 0; k < COMMANDS; k++) x[COMMAND + k] = 0;
    x[WITHHELD] = 0;
    x[LINK_DOWN] = 0;
  }

  private count(name: keyof MishapCounts): void {
    this.counts[name] = (this.counts[name] ?? 0) + 1;
  }
}
