"""Cautions beside operations that can hurt, in German: short, and in our own words."""

TEXTS: dict[str, str] = {
    "caution.spindle": (
        "Schutzbrille auf; keine Handschuhe, Ringe oder weiten Ärmel; lange Haare hochgebunden "
        "und bedeckt. Schlüssel aus dem Futter. Spindel steht, bevor gemessen oder Späne "
        "entfernt werden."
    ),
    "caution.eyes": (
        "Schutzbrille auf; lange Haare zusammengebunden; Handschuhe nur, wo sich nichts dreht."
    ),
    "caution.swarf": (
        "Span brechen. Anhalten, dann Wirrspäne mit Haken oder Zange, nie mit den Fingern."
    ),
    "caution.parting": (
        "Kurze Auskragung, Stahl auf Mitte. Das Teil in eine Schale fallen lassen: es ist heiß "
        "und scharf."
    ),
    "caution.breakthrough": (
        "Werkstück spannen. Beim Durchbruch nachgeben. Vor dem Gewindeschneiden von Hand "
        "ausschalten."
    ),
    "caution.cutter": (
        "Schlüssel von der Anzugsstange, Werkstück gespannt. Späne mit dem Pinsel, nie mit Hand "
        "oder Lappen. Entgraten, bevor das Teil angefasst wird."
    ),
    "caution.mandrel": "Sitz und Gewinderichtung prüfen. Langsam anlaufen lassen. Gesichtsschutz.",
    "caution.woodturning": (
        "Rohling auf Risse und lose Äste ansehen. Auflage nah, einmal von Hand herumdrehen, "
        "langsam anlaufen lassen, nicht in der Flugbahn stehen. Gesichtsschutz."
    ),
    "caution.saw": (
        "Schutz nah am Werkstück, Blatt scharf und gespannt. Mit dem Schiebestock schieben, "
        "Rundes spannen; es will rollen. Keine Handschuhe am laufenden Band."
    ),
    "caution.reciprocating": (
        "Vom ganzen Hub wegbleiben; gegen ihn spannen. Nie über den Stößel greifen."
    ),
    "caution.wheel": (
        "Scheibe vor dem Aufspannen ansehen und Klang prüfen; nie über ihrer Drehzahl. "
        "Schutzhaube und Auflage am Platz, beim Hochlauf daneben stehen. Nie an der "
        "Seitenfläche; kein Aluminium auf einer Scheibe für Stahl."
    ),
    "caution.abrasive": (
        "Schleifmittel auf einem Träger, nie um Werkstück oder Finger gewickelt; keine "
        "Handschuhe, Hände weg von Futter und Backen. In der Hand gehalten: leicht andrücken "
        "und sofort loslassen, wenn es greift."
    ),
    "caution.buff": (
        "Eine Schwabbelscheibe reißt mit: unterhalb der Mitte arbeiten, Kanten ablaufend, "
        "fester Griff, keine Handschuhe. Nie Dünnes, Ringförmiges oder Kleines in den Fingern "
        "halten."
    ),
    "caution.edges": (
        "Frische Kanten und Werkzeuge schneiden: ein Heft an jeder Feile, von der Hand weg "
        "arbeiten, entgraten vor dem Anfassen."
    ),
    "caution.blast": (
        "Geschlossene Kabine mit Absaugung; kein Quarzsand, sein Staub vernarbt die Lunge. "
        "Gegen elektrische Aufladung erden."
    ),
    "caution.jet": (
        "Der Strahl schneidet und dringt durch die Haut; so eine Wunde ist ein Notfall, auch "
        "wenn sie klein aussieht. Nie hineingreifen."
    ),
    "caution.press": (
        "Hände aus der Presse; Schutz davor, Werkstück gerade und abgestützt. Unter Last kann "
        "etwas bersten: Schutzschild, und daneben stehen. Eine Person bedient."
    ),
    "caution.forming": (
        "Hände aus der Schlagrichtung und aus der Biegung; Werkzeuge ohne Bart und Risse; "
        "Werkstück mit Zange oder Zwinge halten."
    ),
    "caution.stored-energy": (
        "Gespeicherte Energie: Druck, Federn und gehobene Lasten ablassen, ausschalten und "
        "sichern, bevor hineingegriffen wird."
    ),
    "caution.compressed-air": (
        "Druckluft nie auf Haut, Kleidung oder eine Bank voll Späne; verminderter Druck, "
        "Sicherheitsdüse, Gehörschutz."
    ),
    "caution.sparks": (
        "Funken fliegen weit und glimmen: nichts Brennbares in der Nähe, Scheiben und Absaugung "
        "frei vom Staub anderer Metalle."
    ),
    "caution.dust": (
        "Staub absaugen, wo er entsteht, passende Maske tragen, feucht oder mit dem Sauger "
        "aufnehmen, nie wegblasen. Was in Legierung und Beschichtung ist, ist auch im Staub."
    ),
    "caution.metal-dust": (
        "Staub und feine Späne von Aluminium, Magnesium, Titan brennen und explodieren: keine "
        "Funken, nie mit Stahlstaub gemischt, keine Ablagerung in Rohren. Brennendes Magnesium "
        "nie mit Wasser: trockener Sand oder Löscher der Brandklasse D."
    ),
    "caution.wood-dust": (
        "Holzstaub explodiert und schadet den Atemwegen, mancher wie ein Gift: Absaugung und "
        "Maske, keine Flamme und kein Funke in der Nähe."
    ),
    "caution.noise": "Lärm: Gehörschutz.",
    "caution.molten": (
        "Schmelze spritzt, wo Feuchtigkeit ist: alles trocken und vorgewärmt. Gesichtsschutz, "
        "Schürze, geschlossene Schuhe, trockener Boden, der nicht brennt; niemand allein."
    ),
    "caution.hot": (
        "Heißes Metall sieht aus wie kaltes: Zange, Hitzehandschuhe (nie an der drehenden "
        "Maschine), und ein Zeichen an das, was noch abkühlt."
    ),
    "caution.flame": (
        "Nichts Brennbares in der Nähe; Feuerlöscher zur Hand; eine Stunde später noch einmal "
        "nachsehen."
    ),
    "caution.arc": (
        "Der Lichtbogen verbrennt Augen und Haut, auch die anderer: der richtige Filter, "
        "bedeckte Haut, ein Schirm. Keine Lösemitteldämpfe in der Nähe."
    ),
    "caution.gas": (
        "Gasflaschen stehend, angekettet, weg von Hitze; Schläuche und Rückschlagsicherungen "
        "geprüft; lüften, Gas verdrängt die Luft oder explodiert."
    ),
    "caution.laser": (
        "Nur mit Einhausung und Verriegelung; Schutzbrille für seine Wellenlänge; nichts "
        "Spiegelndes im Strahl. Er setzt in Brand."
    ),
    "caution.electricity": (
        "Strom: ausschalten und Stecker ziehen, bevor hineingegriffen wird; trockene Hände, "
        "heile Leitungen, Fehlerstromschutz. Reparaturen macht die Elektrofachkraft."
    ),
    "caution.fumes": (
        "Rauch und Dämpfe schaden: Absaugung an der Quelle und frische Luft. Zink, Cadmium, "
        "Blei, Lack und Öl vor dem Erhitzen entfernen; nie unbekannte Kunststoffe erhitzen."
    ),
    "caution.quench": (
        "Öl flammt auf: Deckel und Löscher zur Hand, nie Wasser darauf. Zügig und ganz "
        "eintauchen; nichts Nasses in Öl oder Salz."
    ),
    "caution.salts": (
        "Heiße Salze und Laugen verbrennen und spritzen bei der kleinsten Feuchtigkeit: alles, "
        "was hineinkommt, trocken und vorgewärmt."
    ),
    "caution.acid": (
        "Säuren und Laugen: Gesichtsschutz, Schürze, beständige Handschuhe; Augendusche in "
        "Reichweite. Säure ins Wasser, nie Wasser in die Säure. Bäder nie mischen; manche geben "
        "Giftgas ab."
    ),
    "caution.solvent": (
        "Lösemittel: frische Luft; beständige Handschuhe, aber nicht an der Maschine; keine "
        "Flamme, kein Funke, nicht rauchen. Lappen in einen Behälter mit Deckel."
    ),
    "caution.adhesive": (
        "Klebstoffe und Harze: nicht auf die Haut, manche machen für immer allergisch, manche "
        "kleben Finger sofort zusammen. Frische Luft, Handschuhe, kleine Mengen; eine große "
        "kann beim Aushärten kochen und rauchen."
    ),
    "caution.spray": (
        "Sprühnebel und sein Staub brennen und schaden der Lunge: Kabine mit Absaugung, die "
        "richtige Maske, kein Funke. Zweikomponentenlacke können Isocyanate enthalten: "
        "ausgebildete Leute mit Fremdluft."
    ),
    "caution.oily-rags": (
        "Lappen mit trocknendem Öl entzünden sich von selbst: im Freien ausbreiten oder unter "
        "Wasser in einer Dose mit Deckel."
    ),
    "caution.disposal": (
        "Verbrauchte Bäder, Lösemittel, Harze und Schlämme beschriftet zur Sammlung "
        "gefährlicher Abfälle (Entsorgung); nichts in den Abfluss."
    ),
    "caution.licensed": (
        "Das ist Arbeit für einen Fachbetrieb, wenn man nicht dafür ausgebildet und ausgerüstet "
        "ist."
    ),
    "caution.defer": (
        "Betriebsanleitung, Sicherheitsdatenblätter, örtliche Vorschriften und ausgebildete "
        "oder zugelassene Leute gehen vor."
    ),
}
