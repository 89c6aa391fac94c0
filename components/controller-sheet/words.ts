/** What the page says about who drives and how the link does, in words. */
import type { LinkNews, Refused } from '../../worker/api.ts';
import type { Driver } from '../session/driver.ts';
import type { Session } from '../session/session.ts';

/** Built-in controllers by the name that a person reads. */
const BUILT_IN_NAMES: Readonly<Record<string, string>> = {
  'hall-six-step': 'Built-in six-step, three Halls',
  sensorless: 'Built-in sensorless, three shunts',
};
export const builtInName = (name: string): string => BUILT_IN_NAMES[name] ?? name;

export const CAUTION = 'Disconnect the power stage from a real motor and pack. The board will switch its outputs.';

/** Waiting longer than this for one answer is worth a word [s]. */
const LONG_S = 0.3;
/** Below this share of the pace that was asked for, the drill is said to fall behind it. */
const KEEPS_PACE = 0.97;

const REFUSAL: Readonly<Record<Refused['why'], string>> = {
  'set-up': 'Not connected',
  misfit: 'This board does not fit the drill',
  'wrong version': 'This board speaks another version',
  'bad hello': 'This board cannot be understood',
  'no hello': 'Nobody introduced themselves',
  garbage: 'This is no board of ours',
  closed: 'The connection ended',
  exited: 'The controller ended',
  bye: 'The board said goodbye',
  'no answer': 'No answer',
  'wrong tick': 'The board answers another tick',
  silent: 'The board is silent',
  'given up': 'Given up',
};

interface Saying {
  readonly title: string;
  readonly lines: readonly string[];
}

/** Where things stand between drill and controller. */
export function standing(session: Session, driver: Driver): Saying {
  const { info, news, record } = session;
  if (driver.stage === 'opening') {
    const place = driver.place?.name ?? '';
    const wait = session.waitsFor === '' ? [] : [sentence(capital(session.waitsFor))];
    return { title: 'No answer yet', lines: [`Waiting for ${place || 'the controller'}.`, ...wait] };
  }
  if (driver.refusal) {
    const { why, lines } = driver.refusal;
    return { title: REFUSAL[why], lines: [...lines.map(sentence), 'Nothing was started; the bench is as it was.'] };
  }
  if (news?.loss) {
    return {
      title: 'Controller lost',
      lines: [
        `Lost at ${news.lostAt_s.toFixed(4)} s. ${sentence(news.loss)}`,
        'All six switches were opened at once, and the drill coasts. What was recorded stays; the run neither passes nor fails.',
      ],
    };
  }
  if (!info.board) return { title: 'In process', lines: ['The controller runs inside this page; no frame leaves it.'] };
  const came = driver.came ? [driver.came] : [];
  if (session.locked) {
    return {
      title: 'Connected, not armed',
      lines: [...came, 'The trigger does not reach the board yet, so it has no reason to switch anything.'],
    };
  }
  if (news && news.waited_s > LONG_S) {
    return {
      title: 'Waiting',
      lines: [`The last frame has been out for ${news.waited_s.toFixed(1)} s. The drill waits.`],
    };
  }
  if (!news || news.perSecond === 0) {
    return {
      title: 'Armed, at rest',
      lines: [...came, 'With the trigger released the logic has no supply, and the board is asked nothing.'],
    };
  }
  return {
    title: 'The board drives',
    lines: [`The drill waits for every answer. ${lifeWords(session)}`.trim()].concat(
      record.headValue('running') ? [] : ['Time is frozen.'],
    ),
  };
}

/** Virtual against wall time, as a sentence; '' while nothing is known. */
export function lifeWords({ record }: Session): string {
  const ratio = record.headValue('ratio');
  if (!record.headValue('running') || ratio <= 0) return '';
  const takes = 1 / ratio;
  return `One second of the drill takes ${takes < 10 ? takes.toFixed(1) : takes.toFixed(0)}\u00a0s${isSlow(ratio) ? ': slower than life' : ''}.`;
}

/** Link or machine are slower than the pace that was asked for. */
export function lagsPace({ record }: Session): boolean {
  return record.headValue('ratio') < KEEPS_PACE * record.headValue('pace');
}

const isSlow = (ratio: number): boolean => ratio < KEEPS_PACE;

/** Coupling and share of life for the head, always both; the pace that was asked for when it is not life. */
export function couplingWords(session: Session): string {
  const { record, info, news } = session;
  const how = info.coupling === 'lock-step' ? 'Lock-step' : 'In-process';
  if (news?.loss) return `${how}, ended. All legs open.`;
  const asked = record.headValue('pace') || 1;
  const pace = asked < 1 ? `pace 1/${Math.round(1 / asked)}` : '';
  const ratio = record.headValue('running') ? record.headValue('ratio') : 0;
  // The first second is not over: nobody knows what is reached.
  if (ratio === 0 && record.headValue('running')) return pace === '' ? `${how}.` : `${how}. ${capital(pace)} of life.`;
  const slower = ratio > 0 && ratio < KEEPS_PACE * asked;
  const falls = slower ? `, slower than ${pace === '' ? 'life' : pace}` : pace === '' ? '' : `, ${pace}`;
  return `${how}. ${share(ratio)} of life${falls}.`;
}

/** Ratio of virtual to wall time with figures that matter: 1.00, 0.10, 0.0010. */
export function share(ratio: number): string {
  if (ratio === 0) return '0.00';
  return ratio >= 0.095 ? ratio.toFixed(2) : ratio.toPrecision(2);
}

/** Frames that went wrong, one number for the head. */
export function troubles(news: LinkNews | undefined): number {
  if (!news) return 0;
  const dropped = Object.values(news.drops).reduce((sum, count) => sum + count, 0);
  return news.lost + news.late + news.repeated + news.wrongTick + news.beatsMissed + dropped;
}

export interface Count {
  readonly what: string;
  readonly count: number;
}

/** Everything that is counted, each kind by itself. */
export function countsOf(news: LinkNews): readonly Count[] {
  const dropped = Object.entries(news.drops).map(([cause, count]) => ({ what: `dropped, ${cause}`, count }));
  return [
    { what: 'lost', count: news.lost },
    { what: 'late', count: news.late },
    { what: 'repeated', count: news.repeated },
    { what: 'for another tick', count: news.wrongTick },
    ...(dropped.length > 0 ? dropped : [{ what: 'dropped', count: 0 }]),
    { what: 'signs of life missed', count: news.beatsMissed },
    { what: 'restarts of the board', count: news.restarts },
    { what: 'duties above full', count: news.dutyClamped },
  ];
}

export const capital = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1);
export const sentence = (text: string): string => (/[.!?]$/.test(text) ? text : `${text}.`);

/** A time with the digits that matter: µs, ms or s. */
export function short(time_s: number): string {
  if (time_s < 1e-3) return `${(time_s * 1e6).toFixed(0)} µs`;
  return time_s < 1 ? `${(time_s * 1e3).toPrecision(3)} ms` : `${time_s.toFixed(2)} s`;
}

/** A watch value in at most six digits; the sign is a real minus. */
export function reading(value: number): string {
  if (!Number.isFinite(value)) return 'not a number';
  const size = Math.abs(value);
  const text =
    size !== 0 && (size < 1e-3 || size >= 1e6) ? value.toExponential(3) : String(Number(value.toPrecision(4)));
  return text.replaceAll('-', '\u2212');
}

/** What a board needs, by its own Hello and by what it tells while it runs. */
export const NEED_WORDS = {
  title: 'What the board needs',
  shunts: 'Shunts',
  shuntsOf: (legs: readonly string[]) => `${legs.length}, in ${legs.length === 1 ? 'leg' : 'legs'} ${legs.join(', ')}`,
  halls: 'Hall sensors',
  three: 'three',
  noHalls: 'none: it finds the rotor by itself',
  phases: 'Phase voltages',
  thermistors: 'Thermistors',
  motion: 'Motion of the tool',
  motionOf: (gyro: boolean, accelerometer: boolean) =>
    [gyro ? 'turning' : '', accelerometer ? 'acceleration' : ''].filter((text) => text !== '').join(' and ') ||
    'not read',
  reads: 'read',
  notRead: 'not read',
  converter: 'Converter',
  bits: (count: number) => `${count} bits`,
  pwm: 'PWM',
  updates: (pwm_kHz: number, updates: number) =>
    `${pwm_kHz} kHz, ${updates === 1 ? 'one update' : `${updates} updates`} a period`,
  processor: 'Its processor',
  load: (mean: string, period: string, most: string) => `${mean} of ${period}, at most ${most}`,
  notMeasured: 'does not tell its load',
  notAsked: 'not asked now',
} as const;

/** How time goes; the sheet says it for every controller. */
export const TIME_WORDS = {
  title: 'Time',
  life: 'Share of life',
  stands: 'time stands',
  lost: 'Lost time',
  lostOf: (lost_s: number) => (lost_s > 0 ? `${short(lost_s)}: not in real time` : 'none'),
  grain: 'Grain of the clock',
  grainOf: (grain_s: number, isolated: boolean) =>
    `${grain_s > 0 ? short(grain_s) : 'not measured'}${isolated ? '' : ', coarse: the page is served without isolation'}`,
} as const;
