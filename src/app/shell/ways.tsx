import { Link, useRouter } from '@tanstack/react-router'
import { SECTIONS, type Section } from './sections.ts'
import './ways.css'

/** The sections that have an address by now. */
export function useSections(place?: Section['place']): Section[] {
  const { routesByPath } = useRouter()
  return SECTIONS.filter((section) => section.path in routesByPath && (!place || section.place === place))
}

/** The ways to the sections: a bar at the foot of tablets and phones, a rail beside wide screens. */
export function Ways() {
  return (
    <nav className="ways" aria-label="Screens">
      <ul>
        {useSections().map((section) => (
          <li key={section.path} className={`way-place-${section.place}`}>
            <Way section={section} />
          </li>
        ))}
      </ul>
    </nav>
  )
}

function Way({ section }: { readonly section: Section }) {
  return (
    <Link
      to={section.path}
      className="way"
      activeOptions={{ exact: section.path === '/' }}
      activeProps={{ 'aria-current': 'page' }}
    >
      {section.name}
      {section.useCount && <Count useCount={section.useCount} />}
    </Link>
  )
}

function Count({ useCount }: { readonly useCount: () => number }) {
  const count = useCount()
  if (count === 0) return null
  return (
    <span className="way-count">
      <span aria-hidden="true"> · </span>
      {count}
      <span className="unseen"> open</span>
    </span>
  )
}
