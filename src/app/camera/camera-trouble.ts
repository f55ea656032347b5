/** Why the camera gives no picture, and what to do; scanner and typing always stay. */
export type CameraTrouble = { readonly what: string; readonly todo: string }

const OR = 'Use the scanner, or type what is printed.'

/** A browser that offers no camera at all: pages that did not come by https get none. */
export const NO_CAMERA_HERE: CameraTrouble = {
  what: 'At this address the browser gives no camera.',
  todo: `Open the app by its https address. ${OR}`,
}

/** The reader of codes did not load or broke. */
export const NO_READER: CameraTrouble = {
  what: 'The program that reads codes could not be started.',
  todo: `Close this and try again. ${OR}`,
}

/** What the browser's refusal means. Names as in Media Capture and Streams, getUserMedia (W3C). */
export function cameraTrouble(error: unknown): CameraTrouble {
  const name = error instanceof Error ? error.name : ''
  switch (name) {
    case 'NotAllowedError':
    case 'SecurityError':
      return {
        what: 'The camera is not allowed.',
        todo: `Allow it for this address in the browser’s settings. ${OR}`,
      }
    case 'NotFoundError':
    case 'OverconstrainedError':
      return { what: 'This device has no camera.', todo: OR }
    case 'NotReadableError':
    case 'AbortError':
      return {
        what: 'The camera cannot be read.',
        todo: `Another program may have it: close that and try again. ${OR}`,
      }
    default:
      return { what: `The camera did not start${name === '' ? '' : ` (${name})`}.`, todo: OR }
  }
}
