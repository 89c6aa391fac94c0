/** What the page says to those who hear it: changes of the state, and of the link, in few words. */
import { standing } from '../controller-sheet/words.ts';
import type { Driver } from '../session/driver.ts';
import { faultCount, liveFaults } from '../session/faults.ts';
import type { Session } from '../session/session.ts';

/** States that are said at once. */
const URGENT = ['Stopped', 'Tripped', 'Not valid', 'Controller lost'];
/** Changes of the link are said at most this often [ms]. */
const SPEAK_MS = 1000;

export class Speaker {
  /** Said when there is a pause. */ spoken = '';
  /** Said at once. */ urgent = '';
  private title = '';
  private faults = '';
  private told_ms = 0;

  /** The state has changed. */
  tellState(state: string): void {
    this.urgent = URGENT.includes(state) ? state : '';
    if (this.urgent === '') this.spoken = state;
  }

  /** Faults were armed, came into force, or went; at most once a second. True when it was said. */
  tellFaults(session: Session, now_ms: number): boolean {
    const faults = faultCount(liveFaults(session));
    if (faults === this.faults || now_ms - this.told_ms < SPEAK_MS) return false;
    this.faults = faults;
    this.told_ms = now_ms;
    this.spoken = faults === '' ? 'No fault armed' : faults;
    return true;
  }

  /** A change of the link, at most once a second and one at a time. */
  tellLink(session: Session, driver: Driver, now_ms: number): void {
    if (now_ms - this.told_ms < SPEAK_MS) return;
    const { title, lines } = standing(session, driver);
    if (title === this.title) return;
    this.title = title;
    this.told_ms = now_ms;
    const quiet = session.info.board === undefined && driver.stage === 'settled';
    if (!quiet) this.spoken = driver.stage === 'refused' || session.news?.loss ? `${title}. ${lines[0]}` : title;
  }
}
