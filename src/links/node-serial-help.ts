/** What a person reads when a serial port of this machine does not open: which cause, and what mends it. Runs in Node. */
import { readdir } from 'node:fs/promises';

export type PortFault = 'busy' | 'denied' | 'missing' | 'no port' | 'other';

/** The cause behind the words of a driver; they come without a code. */
export function faultOf(message: string, platform: NodeJS.Platform): PortFault {
  if (/temporarily unavailable|cannot lock|resource busy|EBUSY/i.test(message)) return 'busy';
  if (/access denied/i.test(message)) return platform === 'win32' ? 'busy' : 'denied';
  if (/permission denied|EACCES|not permitted/i.test(message)) return 'denied';
  if (/no such|not found|ENOENT|ENXIO|ENODEV/i.test(message)) return 'missing';
  if (/inappropriate ioctl|ENOTTY|not a (serial|character)/i.test(message)) return 'no port';
  return 'other';
}

const DENIED: Partial<Record<NodeJS.Platform, string>> = {
  linux: [
    'you may not open it. Either copy src/board/50-phantom-board.rules to /etc/udev/rules.d/, run',
    '  sudo udevadm control --reload && sudo udevadm trigger',
    'and plug the board in again; or join the group that owns the port (ls -l shows it: dialout or uucp), as in',
    '  sudo usermod -a -G dialout $USER',
    'and log in anew. Inside a container or a packaged environment the port must be passed in from outside as well',
  ].join('\n'),
};

/** Why a port did not open, in words; `ports` are those that there are. */
export function faultWords(
  fault: PortFault,
  message: string,
  platform: NodeJS.Platform,
  ports: readonly string[],
  tried_s: number,
): string {
  const list = ports.length > 0 ? `Ports here: ${ports.join(', ')}` : 'No serial port is here';
  switch (fault) {
    case 'busy':
      return (
        `another program has it open, and kept it for ${tried_s} s: a terminal, an upload tool, a second run` +
        (platform === 'linux'
          ? '; or the modem manager, which tries every new port (src/board/50-phantom-board.rules keeps it away)'
          : '')
      );
    case 'denied':
      return DENIED[platform] ?? `you may not open it (${message})`;
    case 'missing':
      return `there is no such port. ${list}. Is the board plugged in, and does its cable carry data?`;
    case 'no port':
      return `this is no serial port. ${list}`;
    case 'other':
      return `it does not open: ${message}`;
  }
}

const NAMES: Partial<Record<NodeJS.Platform, RegExp>> = {
  linux: /^tty(ACM|USB|AMA|THS|XRUSB|S)\d+$/,
  darwin: /^cu\.(?!Bluetooth|debug)/,
};

/**
 * Serial ports by their names in /dev; on other systems none. The driver could list them with more about each, but ends the
 * process where a tool of the system is missing (udevadm; seen with version 13).
 */
export async function portsHere(platform: NodeJS.Platform): Promise<string[]> {
  const pattern = NAMES[platform];
  if (!pattern) return [];
  const names = await readdir('/dev').catch(() => []);
  const found = names.filter((name) => pattern.test(name)).sort();
  const plugged = found.filter((name) => !/^ttyS/.test(name)); // those of a bare machine are there whether wired or not
  return (plugged.length > 0 ? plugged : found.slice(0, 4)).map((name) => `/dev/${name}`);
}
