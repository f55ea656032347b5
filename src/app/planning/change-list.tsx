import type { ChangePicture } from './plan-picture.ts'

/** Promises that change, each with its reason and whom it concerns. */
export function ChangeList({ changes }: { readonly changes: readonly ChangePicture[] }) {
  if (changes.length === 0) return <p className="quiet">No promise changes.</p>
  return (
    <ul className="lines">
      {changes.map(({ id, words, why, concerns }) => (
        <li key={id}>
          <p>{words}</p>
          <p className="quiet">
            because {why}
            {concerns && ` · tell ${concerns}`}
          </p>
        </li>
      ))}
    </ul>
  )
}
