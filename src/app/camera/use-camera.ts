import { type RefObject, useEffect, useRef, useState } from 'react'
import { cameraStep, NOTHING_SEEN } from './camera-step.ts'
import { type CameraTrouble, cameraTrouble, NO_CAMERA_HERE, NO_READER } from './camera-trouble.ts'
import type { FromReader, ToReader } from './messages.ts'
import { wedgeText } from './wedge-text.ts'

export type CameraView = {
  readonly video: RefObject<HTMLVideoElement | null>
  readonly state: 'starting' | 'looking' | 'several'
  readonly trouble: CameraTrouble | null
}

/** Between two pictures [ms]. Design rule: quick to the hand, easy on the battery. */
const GAP_MS = 120
/** Pictures are read no larger than this [px]: enough for a label at a hand's breadth. Design rule. */
const LARGEST_PX = 1280

/** Looks through the rear camera while the component is there, and gives the first code that is read for certain. */
export function useCamera(onCode: (code: string) => void): CameraView {
  const video = useRef<HTMLVideoElement>(null)
  const latest = useRef(onCode)
  latest.current = onCode
  const [state, setState] = useState<CameraView['state']>('starting')
  const [trouble, setTrouble] = useState<CameraTrouble | null>(null)
  useEffect(() => {
    const look = new Look(video, (said) => {
      if (said.kind === 'trouble') setTrouble(said.trouble)
      else if (said.kind === 'scanned') latest.current(said.code)
      else setState(said.kind)
    })
    void look.begin()
    return () => look.end()
  }, [])
  return { video, state, trouble }
}

type Said =
  | { readonly kind: 'looking' | 'several' }
  | { readonly kind: 'scanned'; readonly code: string }
  | { readonly kind: 'trouble'; readonly trouble: CameraTrouble }

/** One look through the camera, from its start to the code or to its end; after it the camera is off. */
class Look {
  readonly #video: RefObject<HTMLVideoElement | null>
  readonly #say: (said: Said) => void
  readonly #canvas = document.createElement('canvas')
  #stream: MediaStream | null = null
  #worker: Worker | null = null
  #timer: ReturnType<typeof setTimeout> | undefined
  #seen = NOTHING_SEEN
  #ended = false

  constructor(video: RefObject<HTMLVideoElement | null>, say: (said: Said) => void) {
    this.#video = video
    this.#say = say
  }

  async begin(): Promise<void> {
    if (!navigator.mediaDevices) return this.#fail(NO_CAMERA_HERE)
    try {
      const stream = await navigator.mediaDevices.getUserMedia({
        audio: false,
        video: { facingMode: { ideal: 'environment' }, width: { ideal: 1920 }, height: { ideal: 1080 } },
      })
      // Closed while the person was asked: the camera that was just given is given back.
      if (this.#ended) return stop(stream)
      this.#stream = stream
    } catch (error) {
      return this.#fail(cameraTrouble(error))
    }
    // A camera that is pulled out or taken away says so by the end of its track.
    for (const track of this.#stream.getTracks())
      track.onended = () => this.#fail(cameraTrouble(new DOMException('', 'NotReadableError')))
    const video = this.#video.current
    if (!video) return this.end()
    video.srcObject = this.#stream
    await video.play().catch(() => undefined)
    if (this.#ended) return
    this.#worker = new Worker(new URL('./reader.worker.ts', import.meta.url), { type: 'module' })
    this.#worker.onmessage = ({ data }: MessageEvent<FromReader>) => this.#hear(data)
    this.#worker.onerror = () => this.#fail(NO_READER)
    this.#say({ kind: 'looking' })
    this.#picture()
  }

  end(): void {
    this.#ended = true
    clearTimeout(this.#timer)
    this.#worker?.terminate()
    if (this.#stream) stop(this.#stream)
    if (this.#video.current) this.#video.current.srcObject = null
  }

  #fail(trouble: CameraTrouble): void {
    if (this.#ended) return
    this.end()
    this.#say({ kind: 'trouble', trouble })
  }

  /** Sends what the camera sees now; a camera that has not shown anything yet is looked at again. */
  #picture(): void {
    if (this.#ended) return
    const video = this.#video.current
    const context = this.#canvas.getContext('2d', { willReadFrequently: true })
    if (!video || !context || video.videoWidth === 0) {
      this.#again()
      return
    }
    const scale = Math.min(1, LARGEST_PX / Math.max(video.videoWidth, video.videoHeight))
    this.#canvas.width = Math.round(video.videoWidth * scale)
    this.#canvas.height = Math.round(video.videoHeight * scale)
    context.drawImage(video, 0, 0, this.#canvas.width, this.#canvas.height)
    const picture = context.getImageData(0, 0, this.#canvas.width, this.#canvas.height)
    const message: ToReader = { picture }
    this.#worker?.postMessage(message, [picture.data.buffer])
  }

  #again(): void {
    this.#timer = setTimeout(() => this.#picture(), GAP_MS)
  }

  #hear(message: FromReader): void {
    if (this.#ended) return
    if (message.kind === 'failed') {
      this.#fail(NO_READER)
      return
    }
    const outcome = cameraStep(this.#seen, message.codes.map(wedgeText))
    this.#seen = outcome.state
    if (outcome.code !== undefined) {
      this.end()
      this.#say({ kind: 'scanned', code: outcome.code })
      return
    }
    this.#say({ kind: outcome.act === 'several' ? 'several' : 'looking' })
    this.#again()
  }
}

function stop(stream: MediaStream): void {
  for (const track of stream.getTracks()) {
    track.onended = null
    track.stop()
  }
}
