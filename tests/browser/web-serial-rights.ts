/** What a page or a worker says about its rights to serial ports; runs as it is loaded, outside any click. */
import { askForPort, portsLike, type SerialHub, serialHub } from '../../src/links/web-serial-ask.ts';

const words = (error: Error): string => error.message;

async function rights(): Promise<object> {
  let hub: SerialHub;
  try {
    hub = serialHub(navigator);
  } catch (error) {
    return { hub: words(error as Error) };
  }
  return {
    hub: 'there',
    ask: await askForPort(hub).catch(words),
    granted: (await portsLike(hub, {})).length,
  };
}

const found = rights();
if (typeof document === 'undefined') found.then((each) => globalThis.postMessage(each));
else
  Object.assign(globalThis, {
    rights: found,
    rightsOfWorker: (address: string) =>
      new Promise((resolve, reject) => {
        const worker = new Worker(address);
        worker.onmessage = ({ data }) => resolve(data);
        worker.onerror = ({ message }) => reject(new Error(message));
      }),
    /** What the handler of a click does: ask first. */
    askInClick: (button: HTMLElement) =>
      new Promise((resolve) => {
        button.addEventListener('click', () => {
          askForPort(serialHub(navigator)).then(
            (port) => resolve(port === undefined ? 'none chosen' : 'a port'),
            (error) => resolve(words(error)),
          );
        });
      }),
  });
