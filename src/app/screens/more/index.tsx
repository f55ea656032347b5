import { Link } from '@tanstack/react-router'
import { useState } from 'react'
import { useSession } from '../../local/app-world.tsx'
import { deviceId } from '../../local/device.ts'
import { useMe } from '../../local/hooks.ts'
import { Button } from '../../parts/button.tsx'
import { Screen } from '../../shell/screen.tsx'
import { ThemeSwitch } from '../../shell/theme-switch.tsx'
import { useSections } from '../../shell/ways.tsx'
import { ChangePinSheet } from './change-pin-sheet.tsx'
import { SendingParticulars } from './sending-particulars.tsx'
import { SignOutSheet } from './sign-out-sheet.tsx'
import './more.css'

/** The sections that have no place in the bar, and what concerns the person and the tablet. */
export function More() {
  return (
    <Screen title="More">
      <Sections />
      <section id="sending" className="more-part" aria-labelledby="sending-title">
        <h2 id="sending-title" className="voice-head">
          Sending
        </h2>
        <SendingParticulars />
      </section>
      <You />
      <section className="more-part">
        <ThemeSwitch />
      </section>
      <p className="quiet small">
        Mistwright {APP_VERSION} · this tablet writes as {deviceId()}
      </p>
    </Screen>
  )
}

function Sections() {
  const sections = useSections('more')
  if (sections.length === 0) return null
  return (
    <nav aria-label="Further screens">
      <ul className="lines more-sections">
        {sections.map(({ name, path, about }) => (
          <li key={path}>
            <Link to={path} className="more-section">
              <span className="strong">{name}</span>
              <span className="quiet">{about}</span>
            </Link>
          </li>
        ))}
      </ul>
    </nav>
  )
}

function You() {
  const me = useMe()
  const session = useSession()
  const [open, setOpen] = useState<'pin' | 'sign-out' | null>(null)
  return (
    <section className="more-part" aria-labelledby="you-title">
      <h2 id="you-title" className="voice-head">
        {me.name}
      </h2>
      <p className="quiet">
        {me.role} at {me.facility} · the screen locks after {me.lockAfterMinutes} min untouched
      </p>
      <div className="row">
        <Button gloved onPress={() => session.lock()}>
          Lock now
        </Button>
        <Button gloved onPress={() => setOpen('pin')}>
          {me.pinSet ? 'Change the PIN' : 'Choose a PIN'}
        </Button>
        <Button gloved onPress={() => setOpen('sign-out')}>
          Sign out
        </Button>
      </div>
      <ChangePinSheet isOpen={open === 'pin'} onClose={() => setOpen(null)} />
      <SignOutSheet isOpen={open === 'sign-out'} onClose={() => setOpen(null)} />
    </section>
  )
}
