import { type ErrorComponentProps, useRouter } from '@tanstack/react-router'
import { Component, type ReactNode } from 'react'
import { Button } from '../parts/button.tsx'
import { KindMark } from '../parts/strip.tsx'
import './error-screen.css'

type ErrorScreenProps = {
  /** What happened, as a sentence. */
  readonly what: string
  readonly kept: string
  readonly todo: string
  /** For whoever looks into it; holds no patient data. */
  readonly detail?: string
  readonly actions: ReactNode
}

/** An error a person can act on: what happened, what was kept, what to do. */
export function ErrorScreen({ what, kept, todo, detail, actions }: ErrorScreenProps) {
  return (
    <main id="main" className="error-screen">
      <h1 className="voice-title">
        <KindMark kind="halt" /> {what}
      </h1>
      <div role="alert">
        <dl>
          <dt>Kept</dt>
          <dd>{kept}</dd>
          <dt>What to do</dt>
          <dd>{todo}</dd>
        </dl>
      </div>
      <div className="row">{actions}</div>
      {detail && (
        <details>
          <summary>For whoever looks into it</summary>
          <code>{detail}</code>
        </details>
      )}
    </main>
  )
}

const KEPT =
  'Everything that was charted is on this tablet or already sent. A figure that was still being typed is lost.'

/** A screen failed; the others still work. */
export function RouteError({ error: thrown, reset }: ErrorComponentProps) {
  const router = useRouter()
  const error = asError(thrown)
  const loading = /import|module|chunk/i.test(error.message)
  return (
    <ErrorScreen
      what={loading ? 'This screen could not be loaded.' : 'This screen stopped working.'}
      kept={KEPT}
      todo="Try again. If it fails again, use another screen, and tell whoever looks after the program."
      detail={`${error.name}: ${error.message}`}
      actions={
        <>
          <Button
            tone="primary"
            onPress={() => {
              reset()
              void router.invalidate()
            }}
          >
            Try again
          </Button>
          <Button onPress={() => window.location.reload()}>Open the app anew</Button>
        </>
      }
    />
  )
}

/** The last net: what no screen caught. */
export class ErrorBoundary extends Component<
  { readonly children: ReactNode },
  { readonly error: Error | null }
> {
  override state: { readonly error: Error | null } = { error: null }

  static getDerivedStateFromError(error: unknown): { error: Error } {
    return { error: asError(error) }
  }

  override render(): ReactNode {
    const { error } = this.state
    if (!error) return this.props.children
    return (
      <ErrorScreen
        what="The app stopped working."
        kept={KEPT}
        todo="Open it anew. If it fails again, chart on paper and tell whoever looks after the program."
        detail={`${error.name}: ${error.message}`}
        actions={
          <Button tone="primary" onPress={() => window.location.reload()}>
            Open the app anew
          </Button>
        }
      />
    )
  }
}

function asError(thrown: unknown): Error {
  return thrown instanceof Error ? thrown : new Error(String(thrown))
}
