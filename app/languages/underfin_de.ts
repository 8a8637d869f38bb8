<?xml version="1.0" encoding="utf-8"?>
<!DOCTYPE TS>
<TS version="2.1" language="de" sourcelanguage="en">
 <context>
  <name>Underfin</name>
  <message>
   <source> (out of date)</source>
   <translation> (überholt)</translation>
  </message>
  <message>
   <source> Its lowest layer starts on powder.</source>
   <translation> Die unterste Schicht beginnt auf Pulver.</translation>
  </message>
  <message>
   <source>&amp;Add a part…</source>
   <translation>Teil &amp;hinzufügen…</translation>
  </message>
  <message>
   <source>&amp;Build sinks</source>
   <translation>&amp;Kühlkörper bauen</translation>
  </message>
  <message>
   <source>&amp;Edit</source>
   <translation>&amp;Bearbeiten</translation>
  </message>
  <message>
   <source>&amp;Export…</source>
   <translation>&amp;Exportieren…</translation>
  </message>
  <message>
   <source>&amp;File</source>
   <translation>&amp;Datei</translation>
  </message>
  <message>
   <source>&amp;Fit</source>
   <translation>&amp;Einpassen</translation>
  </message>
  <message>
   <source>&amp;Follow the build</source>
   <translation>Bau &amp;verfolgen</translation>
  </message>
  <message>
   <source>&amp;Go to</source>
   <translation>&amp;Gehe zu</translation>
  </message>
  <message>
   <source>&amp;Help</source>
   <translation>&amp;Hilfe</translation>
  </message>
  <message>
   <source>&amp;Open…</source>
   <translation>&amp;Öffnen…</translation>
  </message>
  <message>
   <source>&amp;Propose sinks</source>
   <translation>Kühlkörper vo&amp;rschlagen</translation>
  </message>
  <message>
   <source>&amp;Quit</source>
   <translation>&amp;Beenden</translation>
  </message>
  <message>
   <source>&amp;Redo</source>
   <translation>&amp;Wiederholen</translation>
  </message>
  <message>
   <source>&amp;Redo {0}</source>
   <translation>&amp;Wiederholen: {0}</translation>
  </message>
  <message>
   <source>&amp;Save</source>
   <translation>&amp;Speichern</translation>
  </message>
  <message>
   <source>&amp;Sinks</source>
   <translation>&amp;Kühlkörper</translation>
  </message>
  <message>
   <source>&amp;Undo</source>
   <translation>&amp;Rückgängig</translation>
  </message>
  <message>
   <source>&amp;Undo {0}</source>
   <translation>&amp;Rückgängig: {0}</translation>
  </message>
  <message>
   <source>&amp;View</source>
   <translation>&amp;Ansicht</translation>
  </message>
  <message>
   <source>'{0}' is no longer in its folder; the job goes on with the part as it was read.</source>
   <translation>„{0}“ ist nicht mehr in seinem Ordner; der Auftrag geht mit dem gelesenen Teil weiter.</translation>
  </message>
  <message>
   <source>'{0}' was changed by another program; the view shows the part as it was read.</source>
   <translation>„{0}“ wurde von einem anderen Programm geändert; die Ansicht zeigt das Teil, wie es gelesen wurde.</translation>
  </message>
  <message>
   <source>(changed by hand since)</source>
   <translation>(seither von Hand geändert)</translation>
  </message>
  <message>
   <source>* Built with other laser settings: {0}.</source>
   <translation>* Mit anderen Laserwerten gebaut: {0}.</translation>
  </message>
  <message>
   <source>, its own</source>
   <translation>, eigene</translation>
  </message>
  <message>
   <source>, own settings</source>
   <translation>, eigene Werte</translation>
  </message>
  <message>
   <source>0 is automatic.</source>
   <translation>0 ist automatisch.</translation>
  </message>
  <message>
   <source>0, usual</source>
   <translation>0, üblich</translation>
  </message>
  <message>
   <source>1  Open a part (STL, 3MF, STEP, OBJ, PLY) or drop it here.
2  Turn it as it will be built. Low-angle downskin is coloured by its angle.
3  Click a coloured face: it gets a sink, one powder gap below it.
4  Move the gap slider, read the findings, export.</source>
   <translation>1  Ein Teil öffnen (STL, 3MF, STEP, OBJ, PLY) oder hierher ziehen.
2  So drehen, wie es gebaut wird. Flacher Downskin ist nach Winkel gefärbt.
3  Eine farbige Fläche anklicken: sie bekommt einen Kühlkörper im Spalt darunter.
4  Spalt schieben, Befunde lesen, exportieren.</translation>
  </message>
  <message>
   <source>1 Place</source>
   <translation>1 Lage</translation>
  </message>
  <message>
   <source>1-D estimate</source>
   <translation>1-D-Schätzung</translation>
  </message>
  <message>
   <source>1-D estimate of the worst patch with the job's sink</source>
   <translation>1-D-Schätzung des schlimmsten Flecks mit dem Kühlkörper des Auftrags</translation>
  </message>
  <message>
   <source>2 Sink</source>
   <translation>2 Kühlen</translation>
  </message>
  <message>
   <source>3 Process</source>
   <translation>3 Prozess</translation>
  </message>
  <message>
   <source>3-D view</source>
   <translation>3-D-Ansicht</translation>
  </message>
  <message>
   <source>3-D view of the part on its build plate</source>
   <translation>3-D-Ansicht des Teils auf der Bauplatte</translation>
  </message>
  <message>
   <source>4 Check</source>
   <translation>4 Prüfen</translation>
  </message>
  <message>
   <source>5 % of its places lie below this</source>
   <translation>5 % seiner Stellen liegen darunter</translation>
  </message>
  <message>
   <source>5 Heat</source>
   <translation>5 Wärme</translation>
  </message>
  <message>
   <source>95 % free, mm</source>
   <translation>95 % frei, mm</translation>
  </message>
  <message>
   <source>95 % of its places lie below this</source>
   <translation>95 % seiner Stellen liegen darunter</translation>
  </message>
  <message>
   <source>; marks: {0}°</source>
   <translation>; Zeichen: {0}°</translation>
  </message>
  <message>
   <source>A bracket with a sink under each of its two patches.</source>
   <translation>Ein Halter mit je einem Kühlkörper unter seinen zwei Flecken.</translation>
  </message>
  <message>
   <source>A card is being looked for.</source>
   <translation>Eine Karte wird gesucht.</translation>
  </message>
  <message>
   <source>A click spreads over edges that bend less than this.</source>
   <translation>Ein Klick breitet sich über Kanten aus, die weniger knicken.</translation>
  </message>
  <message>
   <source>A file that differs becomes a new revision.</source>
   <translation>Eine abweichende Datei wird zu einer neuen Revision.</translation>
  </message>
  <message>
   <source>A foot joins the walls on the plate; 0 for none.</source>
   <translation>Ein Fuß verbindet die Wände auf der Platte; 0 für keinen.</translation>
  </message>
  <message>
   <source>A picture of the view at a chosen size</source>
   <translation>Ein Bild der Ansicht in gewählter Größe</translation>
  </message>
  <message>
   <source>A test build over gaps and angles, and what came out of it</source>
   <translation>Ein Versuchsbau über Spalte und Winkel, und was herauskam</translation>
  </message>
  <message>
   <source>A worked example</source>
   <translation>Ein durchgerechnetes Beispiel</translation>
  </message>
  <message>
   <source>A zone of its own</source>
   <translation>Eigene Zone</translation>
  </message>
  <message>
   <source>About Underfin</source>
   <translation>Über Underfin</translation>
  </message>
  <message>
   <source>About the limits</source>
   <translation>Grenzen</translation>
  </message>
  <message>
   <source>About {0}</source>
   <translation>Um {0}</translation>
  </message>
  <message>
   <source>Above patch {0}: {1}</source>
   <translation>Über Fleck {0}: {1}</translation>
  </message>
  <message>
   <source>Absorptivity</source>
   <translation>Absorptionsgrad</translation>
  </message>
  <message>
   <source>Add face</source>
   <translation>Fläche hinzunehmen</translation>
  </message>
  <message>
   <source>Add faces</source>
   <translation>Flächen hinzunehmen</translation>
  </message>
  <message>
   <source>Add faces by going over them, or take them out</source>
   <translation>Flächen durch Überfahren hinzunehmen oder herausnehmen</translation>
  </message>
  <message>
   <source>Add parts to the plate</source>
   <translation>Teile auf die Platte stellen</translation>
  </message>
  <message>
   <source>Add row</source>
   <translation>Zeile dazu</translation>
  </message>
  <message>
   <source>Add the faces seen in a loop, or take them out</source>
   <translation>Die in einer Schleife gesehenen Flächen hinzunehmen oder herausnehmen</translation>
  </message>
  <message>
   <source>Add {0}</source>
   <translation>{0} hinzufügen</translation>
  </message>
  <message>
   <source>Adding {0}</source>
   <translation>{0} kommt dazu</translation>
  </message>
  <message>
   <source>Add…</source>
   <translation>Hinzufügen…</translation>
  </message>
  <message>
   <source>After the build</source>
   <translation>Nach dem Bau</translation>
  </message>
  <message>
   <source>All patches take the zone of this one.</source>
   <translation>Alle Flecken bekommen die Zone von diesem.</translation>
  </message>
  <message>
   <source>All patches, for a spreadsheet.</source>
   <translation>Alle Flecken, für eine Tabelle.</translation>
  </message>
  <message>
   <source>All sinks take the gap and dimensions of this one.</source>
   <translation>Alle Kühlkörper bekommen Spalt und Maße von diesem.</translation>
  </message>
  <message>
   <source>Allowed rise</source>
   <translation>Erlaubter Anstieg</translation>
  </message>
  <message>
   <source>Alloy</source>
   <translation>Legierung</translation>
  </message>
  <message>
   <source>Alloy or machine setting</source>
   <translation>Legierung oder Maschinenwerte</translation>
  </message>
  <message>
   <source>Alloy: {0}</source>
   <translation>Legierung: {0}</translation>
  </message>
  <message>
   <source>Angle
°</source>
   <translation>Winkel
°</translation>
  </message>
  <message>
   <source>Angles</source>
   <translation>Winkel</translation>
  </message>
  <message>
   <source>Angles, °</source>
   <translation>Winkel, °</translation>
  </message>
  <message>
   <source>Apply the setting, change it in the job, then keep the job's under a new name.</source>
   <translation>Die Werte anwenden, im Auftrag ändern, dann die des Auftrags unter neuem Namen behalten.</translation>
  </message>
  <message>
   <source>Apply to the job</source>
   <translation>Auf den Auftrag anwenden</translation>
  </message>
  <message>
   <source>Apply {0}</source>
   <translation>{0} anwenden</translation>
  </message>
  <message>
   <source>Area
mm²</source>
   <translation>Fläche
mm²</translation>
  </message>
  <message>
   <source>Area above</source>
   <translation>Fläche über</translation>
  </message>
  <message>
   <source>Area of the patch</source>
   <translation>Größe des Flecks</translation>
  </message>
  <message>
   <source>At temperature, K</source>
   <translation>Bei Temperatur, K</translation>
  </message>
  <message>
   <source>At this gap: comes free</source>
   <translation>Bei diesem Spalt: löst sich</translation>
  </message>
  <message>
   <source>At this gap: fuses</source>
   <translation>Bei diesem Spalt: verschmilzt</translation>
  </message>
  <message>
   <source>At this gap: may fuse</source>
   <translation>Bei diesem Spalt: kann verschmelzen</translation>
  </message>
  <message>
   <source>At this gap: not recommended, the face is too flat</source>
   <translation>Bei diesem Spalt: nicht ratsam, die Fläche ist zu flach</translation>
  </message>
  <message>
   <source>At, K</source>
   <translation>Bei, K</translation>
  </message>
  <message>
   <source>Axes and scale bar</source>
   <translation>Achsen und Maßstab</translation>
  </message>
  <message>
   <source>Back</source>
   <translation>Hinten</translation>
  </message>
  <message>
   <source>Back to the newest revision.</source>
   <translation>Zurück zur neuesten Revision.</translation>
  </message>
  <message>
   <source>Back to the page before</source>
   <translation>Zurück zur vorigen Seite</translation>
  </message>
  <message>
   <source>Begun as a copy of {0}.</source>
   <translation>Begonnen als Kopie von {0}.</translation>
  </message>
  <message>
   <source>Below about 20° expect trouble even with a sink; the one published gap study failed at 15°.</source>
   <translation>Unter etwa 20° ist auch mit Kühlkörper mit Ärger zu rechnen; die eine veröffentlichte Spaltstudie scheiterte bei 15°.</translation>
  </message>
  <message>
   <source>Best gap</source>
   <translation>Bester Spalt</translation>
  </message>
  <message>
   <source>Between layers</source>
   <translation>Zwischen Schichten</translation>
  </message>
  <message>
   <source>Between layers, with sinks</source>
   <translation>Zwischen Schichten, mit Kühlkörpern</translation>
  </message>
  <message>
   <source>Between layers, without sinks</source>
   <translation>Zwischen Schichten, ohne Kühlkörper</translation>
  </message>
  <message>
   <source>Between layers: three depths of answer</source>
   <translation>Zwischen Schichten: drei Antworten</translation>
  </message>
  <message>
   <source>Bottom</source>
   <translation>Unten</translation>
  </message>
  <message>
   <source>Bring them back</source>
   <translation>Zurückholen</translation>
  </message>
  <message>
   <source>Brush over faces</source>
   <translation>Flächen überstreichen</translation>
  </message>
  <message>
   <source>Brush: drag adds faces, Ctrl or Alt + drag takes them out · Ctrl + wheel or , . changes the size · right drag turns · Esc ends</source>
   <translation>Pinsel: Ziehen nimmt Flächen hinzu, Strg oder Alt + Ziehen nimmt sie heraus · Strg + Rad oder , . ändert die Größe · Ziehen mit rechts dreht · Esc beendet</translation>
  </message>
  <message>
   <source>Build after every change</source>
   <translation>Nach jeder Änderung bauen</translation>
  </message>
  <message>
   <source>Build directions spread over the sphere.</source>
   <translation>Baurichtungen, über die Kugel verteilt.</translation>
  </message>
  <message>
   <source>Build height</source>
   <translation>Bauhöhe</translation>
  </message>
  <message>
   <source>Build height, mm</source>
   <translation>Bauhöhe, mm</translation>
  </message>
  <message>
   <source>Build plate</source>
   <translation>Bauplatte</translation>
  </message>
  <message>
   <source>Build sinks</source>
   <translation>Kühlkörper bauen</translation>
  </message>
  <message>
   <source>Build the exact sinks of the job</source>
   <translation>Die genauen Kühlkörper des Auftrags bauen</translation>
  </message>
  <message>
   <source>Build the sinks of the job first (F5), as the report shows them.</source>
   <translation>Bauen Sie zuerst die Kühlkörper des Auftrags (F5); der Bericht zeigt sie.</translation>
  </message>
  <message>
   <source>Building the sinks</source>
   <translation>Kühlkörper werden gebaut</translation>
  </message>
  <message>
   <source>Built in and read-only; copy it under a name of your own to change values.</source>
   <translation>Eingebaut und schreibgeschützt; zum Ändern unter eigenem Namen kopieren.</translation>
  </message>
  <message>
   <source>Built on</source>
   <translation>Gebaut am</translation>
  </message>
  <message>
   <source>Built-in values and older revisions stay as they are; copy them under a new name.</source>
   <translation>Eingebaute Werte und ältere Revisionen bleiben, wie sie sind; unter neuem Namen kopieren.</translation>
  </message>
  <message>
   <source>CSV with the columns column_px, row_px, x_mm, y_mm: at least four pairs, better nine; with a further column 'mark', two marks of a coupon.</source>
   <translation>CSV mit den Spalten column_px, row_px, x_mm, y_mm: mindestens vier Paare, besser neun; mit einer weiteren Spalte „mark“ zwei Marken eines Coupons.</translation>
  </message>
  <message>
   <source>CSV with the columns scan_x_mm … part_z_mm: at least three pairs far apart, roughly at the same place of scan and part; needed where the part looks the same in another position.</source>
   <translation>CSV mit den Spalten scan_x_mm … part_z_mm: mindestens drei weit auseinander liegende Paare, ungefähr an derselben Stelle von Scan und Teil; nötig, wo das Teil in anderer Lage gleich aussieht.</translation>
  </message>
  <message>
   <source>Cancel</source>
   <translation>Abbrechen</translation>
  </message>
  <message>
   <source>Cell size</source>
   <translation>Zellgröße</translation>
  </message>
  <message>
   <source>Cells of {0} mm, {1} in all. Heat put in and given off agree to {2} %. Build time {3} h.</source>
   <translation>Zellen von {0} mm, zusammen {1}. Zugeführte und abgegebene Wärme stimmen auf {2} % überein. Bauzeit {3} h.</translation>
  </message>
  <message>
   <source>Centre {0}</source>
   <translation>Mitte {0}</translation>
  </message>
  <message>
   <source>Change</source>
   <translation>Ändern</translation>
  </message>
  <message>
   <source>Changed, not saved yet.</source>
   <translation>Geändert, noch nicht gespeichert.</translation>
  </message>
  <message>
   <source>Changes can't be kept safe from a crash; save the job yourself now and then.</source>
   <translation>Änderungen lassen sich nicht vor einem Absturz sichern; speichern Sie den Auftrag ab und zu selbst.</translation>
  </message>
  <message>
   <source>Changes the job and builds again; undo takes it back.</source>
   <translation>Ändert den Auftrag und baut neu; Rückgängig nimmt es zurück.</translation>
  </message>
  <message>
   <source>Choose a block</source>
   <translation>Einen Block wählen</translation>
  </message>
  <message>
   <source>Choose all values</source>
   <translation>Alle Werte wählen</translation>
  </message>
  <message>
   <source>Choose patches, kinds of sink, gaps and zones for the whole part, and say why</source>
   <translation>Flecken, Arten der Kühlkörper, Spalte und Zonen für das ganze Teil wählen, mit Begründung</translation>
  </message>
  <message>
   <source>Clear</source>
   <translation>Leeren</translation>
  </message>
  <message>
   <source>Clear faces never downskin</source>
   <translation>Marken „nie Downskin“ löschen</translation>
  </message>
  <message>
   <source>Clear picked faces</source>
   <translation>Auswahl aufheben</translation>
  </message>
  <message>
   <source>Click a coloured face in the view, or a patch in the list, to give it a sink.</source>
   <translation>Eine farbige Fläche in der Ansicht oder einen Fleck in der Liste anklicken, um ihm einen Kühlkörper zu geben.</translation>
  </message>
  <message>
   <source>Click a side that must never be downskin; again to let it · right drag turns · Esc ends</source>
   <translation>Eine Seite anklicken, die nie Downskin sein darf; nochmals gibt sie frei · Ziehen mit rechts dreht · Esc beendet</translation>
  </message>
  <message>
   <source>Click sides, such as sealing faces, that no orientation may turn down</source>
   <translation>Seiten anklicken, etwa Dichtflächen, die keine Ausrichtung nach unten drehen darf</translation>
  </message>
  <message>
   <source>Click the first point on the part or a sink · right drag turns · Esc ends</source>
   <translation>Den ersten Punkt auf Teil oder Kühlkörper anklicken · Ziehen mit rechts dreht · Esc beendet</translation>
  </message>
  <message>
   <source>Click the second point · right drag turns · Esc ends</source>
   <translation>Den zweiten Punkt anklicken · Ziehen mit rechts dreht · Esc beendet</translation>
  </message>
  <message>
   <source>Click to measure anew · Esc ends</source>
   <translation>Klick misst neu · Esc beendet</translation>
  </message>
  <message>
   <source>Close this message</source>
   <translation>Diese Meldung schließen</translation>
  </message>
  <message>
   <source>Closed top</source>
   <translation>Deckel</translation>
  </message>
  <message>
   <source>Colour scale: {0}</source>
   <translation>Farbskala: {0}</translation>
  </message>
  <message>
   <source>Colour the part by it</source>
   <translation>Teil danach färben</translation>
  </message>
  <message>
   <source>Colours of the desktop</source>
   <translation>Farben des Schreibtischs</translation>
  </message>
  <message>
   <source>Colours on the part</source>
   <translation>Farben auf dem Teil</translation>
  </message>
  <message>
   <source>Colours: {0}</source>
   <translation>Farben: {0}</translation>
  </message>
  <message>
   <source>Columns of the job</source>
   <translation>Spalten des Auftrags</translation>
  </message>
  <message>
   <source>Columns of the kept trials</source>
   <translation>Spalten der behaltenen Versuche</translation>
  </message>
  <message>
   <source>Columns of the orientations</source>
   <translation>Spalten der Ausrichtungen</translation>
  </message>
  <message>
   <source>Columns of the patches in the scan</source>
   <translation>Spalten der Flecken im Scan</translation>
  </message>
  <message>
   <source>Comes free with 95 % probability: {0}.</source>
   <translation>Löst sich mit 95 % Wahrscheinlichkeit: {0}.</translation>
  </message>
  <message>
   <source>Compare</source>
   <translation>Vergleichen</translation>
  </message>
  <message>
   <source>Compare layer images or a scan of this job first, or put kept trials in force.</source>
   <translation>Vergleichen Sie zuerst Schichtbilder oder einen Scan dieses Auftrags, oder lassen Sie behaltene Versuche gelten.</translation>
  </message>
  <message>
   <source>Compare many orientations of the part</source>
   <translation>Viele Ausrichtungen des Teils vergleichen</translation>
  </message>
  <message>
   <source>Compare orientations</source>
   <translation>Ausrichtungen vergleichen</translation>
  </message>
  <message>
   <source>Compare the scan</source>
   <translation>Scan vergleichen</translation>
  </message>
  <message>
   <source>Comparing layer images</source>
   <translation>Schichtbilder werden verglichen</translation>
  </message>
  <message>
   <source>Comparing orientations</source>
   <translation>Ausrichtungen werden verglichen</translation>
  </message>
  <message>
   <source>Comparing the scan</source>
   <translation>Scan wird verglichen</translation>
  </message>
  <message>
   <source>Conductivity</source>
   <translation>Leitfähigkeit</translation>
  </message>
  <message>
   <source>Contents and words</source>
   <translation>Inhalt und Wörter</translation>
  </message>
  <message>
   <source>Cooler by</source>
   <translation>Kühler um</translation>
  </message>
  <message>
   <source>Cooler by, thanks to sinks</source>
   <translation>Kühler dank Kühlkörpern um</translation>
  </message>
  <message>
   <source>Copy</source>
   <translation>Kopieren</translation>
  </message>
  <message>
   <source>Copy as own</source>
   <translation>Als eigene kopieren</translation>
  </message>
  <message>
   <source>Copy settings of the sink</source>
   <translation>Werte des Kühlkörpers kopieren</translation>
  </message>
  <message>
   <source>Copy settings of this sink</source>
   <translation>Werte dieses Kühlkörpers kopieren</translation>
  </message>
  <message>
   <source>Copy table</source>
   <translation>Tabelle kopieren</translation>
  </message>
  <message>
   <source>Copy tables</source>
   <translation>Tabellen kopieren</translation>
  </message>
  <message>
   <source>Copy the list</source>
   <translation>Liste kopieren</translation>
  </message>
  <message>
   <source>Copy the patch table</source>
   <translation>Fleckentabelle kopieren</translation>
  </message>
  <message>
   <source>Coupon and trials</source>
   <translation>Coupon und Versuche</translation>
  </message>
  <message>
   <source>Ctrl + click</source>
   <translation>Strg + Klick</translation>
  </message>
  <message>
   <source>Cut part and sinks by a plane</source>
   <translation>Teil und Kühlkörper mit einer Ebene schneiden</translation>
  </message>
  <message>
   <source>D90</source>
   <translation>D90</translation>
  </message>
  <message>
   <source>Dark colours</source>
   <translation>Dunkle Farben</translation>
  </message>
  <message>
   <source>Data set</source>
   <translation>Datensatz</translation>
  </message>
  <message>
   <source>Default: {0}. Right-click to restore it.</source>
   <translation>Vorgabe: {0}. Rechtsklick stellt sie wieder her.</translation>
  </message>
  <message>
   <source>Depth Y</source>
   <translation>Tiefe Y</translation>
  </message>
  <message>
   <source>Details</source>
   <translation>Einzelheiten</translation>
  </message>
  <message>
   <source>Deviation in µm, outward positive; the edge is the lowest one. Click a patch to see it.</source>
   <translation>Abweichung in µm, nach außen positiv; die Kante ist die tiefste. Einen Fleck anklicken zeigt ihn.</translation>
  </message>
  <message>
   <source>Direction of the blade from the X axis: 90° lies along Y and travels along X.</source>
   <translation>Richtung der Klinge zur X-Achse: 90° liegt längs Y und fährt längs X.</translation>
  </message>
  <message>
   <source>Direction of the section</source>
   <translation>Richtung des Schnitts</translation>
  </message>
  <message>
   <source>Directions</source>
   <translation>Richtungen</translation>
  </message>
  <message>
   <source>Discard changes</source>
   <translation>Änderungen verwerfen</translation>
  </message>
  <message>
   <source>Distance of cross openings by which powder drains; 0 for none.</source>
   <translation>Abstand der Queröffnungen, durch die Pulver abfließt; 0 für keine.</translation>
  </message>
  <message>
   <source>Distance of two points, and the powder gap there</source>
   <translation>Abstand zweier Punkte und der Pulverspalt dort</translation>
  </message>
  <message>
   <source>Distance {0} mm</source>
   <translation>Abstand {0} mm</translation>
  </message>
  <message>
   <source>Do what the message offers</source>
   <translation>Tun, was die Meldung anbietet</translation>
  </message>
  <message>
   <source>Downskin</source>
   <translation>Downskin</translation>
  </message>
  <message>
   <source>Downskin angle</source>
   <translation>Downskin-Winkel</translation>
  </message>
  <message>
   <source>Downskin zone</source>
   <translation>Downskin-Zone</translation>
  </message>
  <message>
   <source>Downskin zones: {0}</source>
   <translation>Downskin-Zonen: {0}</translation>
  </message>
  <message>
   <source>Drain pitch</source>
   <translation>Abflussabstand</translation>
  </message>
  <message>
   <source>Drain width</source>
   <translation>Abflussbreite</translation>
  </message>
  <message>
   <source>Draw a loop round faces</source>
   <translation>Schleife um Flächen ziehen</translation>
  </message>
  <message>
   <source>Drawing as PNG and SVG, curves and cells as CSV, all values as JSON.</source>
   <translation>Zeichnung als PNG und SVG, Kurven und Zellen als CSV, alle Werte als JSON.</translation>
  </message>
  <message>
   <source>Drawing layer {0}</source>
   <translation>Schicht {0} wird gezeichnet</translation>
  </message>
  <message>
   <source>Drop changes</source>
   <translation>Verwerfen</translation>
  </message>
  <message>
   <source>Duplicate</source>
   <translation>Verdoppeln</translation>
  </message>
  <message>
   <source>Duplicate {0}</source>
   <translation>{0} verdoppeln</translation>
  </message>
  <message>
   <source>Each face by its mean deviation; the list in the view takes it back.</source>
   <translation>Jede Fläche nach ihrer mittleren Abweichung; die Liste in der Ansicht nimmt es zurück.</translation>
  </message>
  <message>
   <source>Edge</source>
   <translation>Kante</translation>
  </message>
  <message>
   <source>Edge of the cubes that part, sinks and powder are cut into; automatic takes about a million.</source>
   <translation>Kante der Würfel, in die Teil, Kühlkörper und Pulver zerlegt werden; automatisch nimmt etwa eine Million.</translation>
  </message>
  <message>
   <source>Edges of sinks are sharp, and parts under stress spring when they are cut off.</source>
   <translation>Kanten von Kühlkörpern sind scharf, und Teile unter Spannung springen beim Abtrennen.</translation>
  </message>
  <message>
   <source>Emissivity</source>
   <translation>Emissionsgrad</translation>
  </message>
  <message>
   <source>End the section</source>
   <translation>Schnitt beenden</translation>
  </message>
  <message>
   <source>End the section and show the whole part (Esc)</source>
   <translation>Schnitt beenden und das ganze Teil zeigen (Esc)</translation>
  </message>
  <message>
   <source>Enter</source>
   <translation>Eingabe</translation>
  </message>
  <message>
   <source>Estimate</source>
   <translation>Schätzung</translation>
  </message>
  <message>
   <source>Estimate, until a coupon replaces it</source>
   <translation>Schätzung, bis ein Coupon sie ersetzt</translation>
  </message>
  <message>
   <source>Estimated metal of the sinks under it</source>
   <translation>Geschätztes Metall der Kühlkörper darunter</translation>
  </message>
  <message>
   <source>Estimates, to be calibrated with the coupon. 1-D and quick look are steady, as if layers at that height never ended, and end at the solidus; the full build follows every layer in time.</source>
   <translation>Schätzungen, mit dem Coupon zu kalibrieren. 1-D und Kurzblick sind stationär, als endeten die Schichten in dieser Höhe nie, und hören beim Solidus auf; der ganze Bau folgt jeder Schicht.</translation>
  </message>
  <message>
   <source>Every gap at every angle, and one cell without a sink per angle, at places drawn by lot.</source>
   <translation>Jeder Spalt bei jedem Winkel und je Winkel eine Zelle ohne Kühlkörper, an ausgelosten Plätzen.</translation>
  </message>
  <message>
   <source>Every temperature, conductance and limit is an estimate until a coupon replaces it. Build the coupon on your machine, with your powder, and put in what came out.</source>
   <translation>Jede Temperatur, jeder Leitwert und jede Grenze ist eine Schätzung, bis ein Coupon sie ersetzt. Bauen Sie den Coupon auf Ihrer Maschine mit Ihrem Pulver und tragen Sie ein, was herauskam.</translation>
  </message>
  <message>
   <source>Export &amp;heat…</source>
   <translation>&amp;Wärme exportieren…</translation>
  </message>
  <message>
   <source>Export heat…</source>
   <translation>Wärme exportieren…</translation>
  </message>
  <message>
   <source>Export images…</source>
   <translation>Bilder exportieren…</translation>
  </message>
  <message>
   <source>Export is not allowed: {0}</source>
   <translation>Export nicht erlaubt: {0}</translation>
  </message>
  <message>
   <source>Export scan…</source>
   <translation>Scan exportieren…</translation>
  </message>
  <message>
   <source>Export sinks, 3MF and report to a folder</source>
   <translation>Kühlkörper, 3MF und Bericht in einen Ordner exportieren</translation>
  </message>
  <message>
   <source>Export the orientations</source>
   <translation>Ausrichtungen exportieren</translation>
  </message>
  <message>
   <source>Export what the layer images showed to a folder</source>
   <translation>Was die Schichtbilder zeigten, in einen Ordner exportieren</translation>
  </message>
  <message>
   <source>Export what the scan showed to a folder</source>
   <translation>Was der Scan zeigte, in einen Ordner exportieren</translation>
  </message>
  <message>
   <source>Export with all revisions</source>
   <translation>Mit allen Revisionen exportieren</translation>
  </message>
  <message>
   <source>Export…</source>
   <translation>Exportieren…</translation>
  </message>
  <message>
   <source>Faces flatter than this, measured from the build plate, are low-angle.</source>
   <translation>Flachere Flächen, gemessen zur Bauplatte, gelten als flach.</translation>
  </message>
  <message>
   <source>File with all layer images</source>
   <translation>Datei mit allen Schichtbildern</translation>
  </message>
  <message>
   <source>Files dropped on the window with Shift or Ctrl held are added too.</source>
   <translation>Auch Dateien, die mit Umschalt oder Strg auf das Fenster gezogen werden, kommen dazu.</translation>
  </message>
  <message>
   <source>File…</source>
   <translation>Datei…</translation>
  </message>
  <message>
   <source>Fill in the sheet that the coupon wrote, then open it here.</source>
   <translation>Das Blatt ausfüllen, das der Coupon geschrieben hat, dann hier öffnen.</translation>
  </message>
  <message>
   <source>Fin direction</source>
   <translation>Rippenrichtung</translation>
  </message>
  <message>
   <source>Fin pitch</source>
   <translation>Rippenabstand</translation>
  </message>
  <message>
   <source>Fin thickness</source>
   <translation>Rippendicke</translation>
  </message>
  <message>
   <source>Find a command</source>
   <translation>Befehl suchen</translation>
  </message>
  <message>
   <source>Find a command…</source>
   <translation>Befehl suchen…</translation>
  </message>
  <message>
   <source>Find a free place</source>
   <translation>Freien Platz suchen</translation>
  </message>
  <message>
   <source>Find a free place for {0}</source>
   <translation>Freien Platz für {0} suchen</translation>
  </message>
  <message>
   <source>Find in the handbook</source>
   <translation>Im Handbuch suchen</translation>
  </message>
  <message>
   <source>Finding the downskin</source>
   <translation>Downskin wird gesucht</translation>
  </message>
  <message>
   <source>Findings</source>
   <translation>Befunde</translation>
  </message>
  <message>
   <source>Findings, worst first</source>
   <translation>Befunde, schlimmste zuerst</translation>
  </message>
  <message>
   <source>Findings: none yet</source>
   <translation>Befunde: noch keine</translation>
  </message>
  <message>
   <source>Findings: {0} stop, {1} note</source>
   <translation>Befunde: {0} Stopp, {1} Hinweis</translation>
  </message>
  <message>
   <source>First gap to try: the fuse limit as estimated, at least 5.5 layers.</source>
   <translation>Erster Spalt zum Versuchen: die geschätzte Schmelzgrenze, mindestens 5,5 Schichten.</translation>
  </message>
  <message>
   <source>First image up to</source>
   <translation>Erstes Bild bis</translation>
  </message>
  <message>
   <source>First start of this version: its inner loops are being compiled, which takes about a minute and happens once. What you ask for meanwhile waits for them.</source>
   <translation>Erster Start dieser Version: Ihre inneren Schleifen werden einmalig übersetzt, das dauert etwa eine Minute. Was Sie bis dahin anfordern, wartet darauf.</translation>
  </message>
  <message>
   <source>Fit the build plate</source>
   <translation>Bauplatte einpassen</translation>
  </message>
  <message>
   <source>Fit to what is picked</source>
   <translation>Auswahl einpassen</translation>
  </message>
  <message>
   <source>Flag</source>
   <translation>Herkunft</translation>
  </message>
  <message>
   <source>Folder of layer images</source>
   <translation>Ordner der Schichtbilder</translation>
  </message>
  <message>
   <source>Folder of the log</source>
   <translation>Ordner des Protokolls</translation>
  </message>
  <message>
   <source>Folder of the sample parts</source>
   <translation>Ordner der Beispielteile</translation>
  </message>
  <message>
   <source>Folder…</source>
   <translation>Ordner…</translation>
  </message>
  <message>
   <source>Follow the build</source>
   <translation>Bau verfolgen</translation>
  </message>
  <message>
   <source>Follow the build layer by layer, with the sinks and without</source>
   <translation>Den Bau Schicht für Schicht verfolgen, mit und ohne Kühlkörper</translation>
  </message>
  <message>
   <source>Follow the build of this job on the page Heat to compare the images with predicted temperatures.</source>
   <translation>Verfolgen Sie den Bau dieses Auftrags auf der Seite Wärme, um die Bilder mit vorhergesagten Temperaturen zu vergleichen.</translation>
  </message>
  <message>
   <source>Following the build</source>
   <translation>Bau wird verfolgt</translation>
  </message>
  <message>
   <source>Following the build; you can work on meanwhile.</source>
   <translation>Der Bau wird verfolgt; Sie können weiterarbeiten.</translation>
  </message>
  <message>
   <source>Foot height</source>
   <translation>Fußhöhe</translation>
  </message>
  <message>
   <source>Foot, neck and drains</source>
   <translation>Fuß, Hals und Abflüsse</translation>
  </message>
  <message>
   <source>For a part that floats: moves it down along z until it touches the plate.</source>
   <translation>Für ein schwebendes Teil: senkt es längs z, bis es die Platte berührt.</translation>
  </message>
  <message>
   <source>For {0}. In force: none, the model's estimate.</source>
   <translation>Für {0}. Es gilt: keiner, die Schätzung des Modells.</translation>
  </message>
  <message>
   <source>For {0}. In force: {1}.</source>
   <translation>Für {0}. Es gilt: {1}.</translation>
  </message>
  <message>
   <source>Formulas and sources</source>
   <translation>Formeln und Quellen</translation>
  </message>
  <message>
   <source>Free</source>
   <translation>Frei</translation>
  </message>
  <message>
   <source>Free border</source>
   <translation>Freier Rand</translation>
  </message>
  <message>
   <source>Fresh powder</source>
   <translation>Frisches Pulver</translation>
  </message>
  <message>
   <source>From &amp;above</source>
   <translation>Von &amp;oben</translation>
  </message>
  <message>
   <source>From &amp;below</source>
   <translation>Von &amp;unten</translation>
  </message>
  <message>
   <source>From the end of one exposure to the start of the next.</source>
   <translation>Vom Ende einer Belichtung bis zum Beginn der nächsten.</translation>
  </message>
  <message>
   <source>From the lowest metal through the build plate to where its temperature is held.</source>
   <translation>Vom untersten Metall durch die Bauplatte bis dahin, wo ihre Temperatur gehalten wird.</translation>
  </message>
  <message>
   <source>From the middle of one fin to the next.</source>
   <translation>Von der Mitte einer Rippe zur nächsten.</translation>
  </message>
  <message>
   <source>From what powder and absorptivity may be, low to high.</source>
   <translation>Aus dem, was Pulver und Absorptionsgrad sein können, niedrig bis hoch.</translation>
  </message>
  <message>
   <source>From {0} to {1} pixels</source>
   <translation>Von {0} bis {1} Pixel</translation>
  </message>
  <message>
   <source>Front</source>
   <translation>Vorn</translation>
  </message>
  <message>
   <source>Full build</source>
   <translation>Ganzer Bau</translation>
  </message>
  <message>
   <source>Full build, layer by layer</source>
   <translation>Ganzer Bau, Schicht für Schicht</translation>
  </message>
  <message>
   <source>Fuse limit</source>
   <translation>Schmelzgrenze</translation>
  </message>
  <message>
   <source>Fuse limit {0}, from trials; heat limit {1}, an estimate.</source>
   <translation>Schmelzgrenze {0}, aus Versuchen; Wärmegrenze {1}, eine Schätzung.</translation>
  </message>
  <message>
   <source>Fuse limit {0}, heat limit {1}; estimates, to be calibrated with the coupon.</source>
   <translation>Schmelzgrenze {0}, Wärmegrenze {1}; Schätzungen, mit dem Coupon zu kalibrieren.</translation>
  </message>
  <message>
   <source>Gap</source>
   <translation>Spalt</translation>
  </message>
  <message>
   <source>Gap above which the rise passes what is allowed.</source>
   <translation>Spalt, über dem der Anstieg das Erlaubte übersteigt.</translation>
  </message>
  <message>
   <source>Gap below which the melt may reach the sink.</source>
   <translation>Spalt, unter dem die Schmelze den Kühlkörper erreichen kann.</translation>
  </message>
  <message>
   <source>Gap coupon</source>
   <translation>Spalt-Coupon</translation>
  </message>
  <message>
   <source>Gap window</source>
   <translation>Spaltfenster</translation>
  </message>
  <message>
   <source>Gaps, mm</source>
   <translation>Spalte, mm</translation>
  </message>
  <message>
   <source>Gas</source>
   <translation>Gas</translation>
  </message>
  <message>
   <source>Gas above</source>
   <translation>Gas darüber</translation>
  </message>
  <message>
   <source>Getting ready to build</source>
   <translation>Bauen wird vorbereitet</translation>
  </message>
  <message>
   <source>Give a patch a zone of its own</source>
   <translation>Fleck eigene Zone geben</translation>
  </message>
  <message>
   <source>Give a sink settings of its own</source>
   <translation>Kühlkörper eigene Werte geben</translation>
  </message>
  <message>
   <source>Give all patches this zone</source>
   <translation>Allen Flecken diese Zone geben</translation>
  </message>
  <message>
   <source>Give all sinks these settings</source>
   <translation>Allen Kühlkörpern diese Werte geben</translation>
  </message>
  <message>
   <source>Give settings of the sink to all</source>
   <translation>Werte des Kühlkörpers allen geben</translation>
  </message>
  <message>
   <source>Give the file of the scanned surface.</source>
   <translation>Geben Sie die Datei der gescannten Oberfläche an.</translation>
  </message>
  <message>
   <source>Give the folder or the file of layer images.</source>
   <translation>Geben Sie den Ordner oder die Datei der Schichtbilder an.</translation>
  </message>
  <message>
   <source>Give the table of point pairs or marks that places the images.</source>
   <translation>Geben Sie die Tabelle der Punktpaare oder Marken an, welche die Bilder einpasst.</translation>
  </message>
  <message>
   <source>Give this zone to all patches</source>
   <translation>Diese Zone allen Flecken geben</translation>
  </message>
  <message>
   <source>Give to all</source>
   <translation>Allen geben</translation>
  </message>
  <message>
   <source>Gives what was copied to this sink, or to all sinks chosen in the list.</source>
   <translation>Gibt das Kopierte diesem Kühlkörper oder allen in der Liste gewählten.</translation>
  </message>
  <message>
   <source>Go on following</source>
   <translation>Weiter verfolgen</translation>
  </message>
  <message>
   <source>Goes into it: {0}.</source>
   <translation>Hinein kommt: {0}.</translation>
  </message>
  <message>
   <source>Ground</source>
   <translation>Hintergrund</translation>
  </message>
  <message>
   <source>Grow a click over</source>
   <translation>Klick wächst über</translation>
  </message>
  <message>
   <source>Grow angle</source>
   <translation>Wachstumswinkel</translation>
  </message>
  <message>
   <source>Handbook</source>
   <translation>Handbuch</translation>
  </message>
  <message>
   <source>Hatch</source>
   <translation>Spurabstand</translation>
  </message>
  <message>
   <source>Hatch in the zone</source>
   <translation>Spurabstand in der Zone</translation>
  </message>
  <message>
   <source>Heat limit</source>
   <translation>Wärmegrenze</translation>
  </message>
  <message>
   <source>Heat through the powder gap and its two walls.</source>
   <translation>Wärme durch den Pulverspalt und seine zwei Wände.</translation>
  </message>
  <message>
   <source>Height</source>
   <translation>Höhe</translation>
  </message>
  <message>
   <source>Height
mm</source>
   <translation>Höhe
mm</translation>
  </message>
  <message>
   <source>Height of its lowest point above the plate</source>
   <translation>Höhe des tiefsten Punkts über der Platte</translation>
  </message>
  <message>
   <source>Height of the top of the first layer.</source>
   <translation>Höhe der Oberseite der ersten Schicht.</translation>
  </message>
  <message>
   <source>High
mm</source>
   <translation>Höhe
mm</translation>
  </message>
  <message>
   <source>Hot above</source>
   <translation>Heiß über</translation>
  </message>
  <message>
   <source>Hot pixels</source>
   <translation>Heiße Pixel</translation>
  </message>
  <message>
   <source>Hot spots</source>
   <translation>Heiße Stellen</translation>
  </message>
  <message>
   <source>Hot spots: {0}; click one to see where it is.</source>
   <translation>Heiße Stellen: {0}; anklicken zeigt, wo sie liegt.</translation>
  </message>
  <message>
   <source>Hottest place</source>
   <translation>Heißeste Stelle</translation>
  </message>
  <message>
   <source>How far the mean moves on larger cells.</source>
   <translation>Wie weit sich der Mittelwert auf größeren Zellen verschiebt.</translation>
  </message>
  <message>
   <source>How far the sink reaches beyond the patch; negative stays inside.</source>
   <translation>Wie weit der Kühlkörper über den Fleck hinausreicht; negativ bleibt innerhalb.</translation>
  </message>
  <message>
   <source>How it stands</source>
   <translation>Wie es steht</translation>
  </message>
  <message>
   <source>How much cooler the patch stays thanks to its sink.</source>
   <translation>Wie viel kühler der Fleck dank seinem Kühlkörper bleibt.</translation>
  </message>
  <message>
   <source>How much powder around the part is followed too.</source>
   <translation>Wie viel Pulver um das Teil mit verfolgt wird.</translation>
  </message>
  <message>
   <source>How sure the numbers are</source>
   <translation>Wie sicher die Zahlen sind</translation>
  </message>
  <message>
   <source>ISO/ASTM 52931, NFPA 484 and 660, local codes, the maker of the machine and licensed practice come first. Parts for safety-critical use need their own qualification.</source>
   <translation>ISO/ASTM 52931, NFPA 484 und 660, örtliche Vorschriften, der Hersteller der Maschine und zugelassene Praxis gehen vor. Teile für sicherheitskritischen Einsatz brauchen eine eigene Qualifizierung.</translation>
  </message>
  <message>
   <source>Image of the layer</source>
   <translation>Bild der Schicht</translation>
  </message>
  <message>
   <source>Images</source>
   <translation>Bilder</translation>
  </message>
  <message>
   <source>Images that the machine took of every layer, laid over the part of this job.</source>
   <translation>Bilder, welche die Maschine von jeder Schicht aufnahm, über das Teil dieses Auftrags gelegt.</translation>
  </message>
  <message>
   <source>Impeller shroud</source>
   <translation>Laufradmantel</translation>
  </message>
  <message>
   <source>Import an alloy or a machine setting</source>
   <translation>Legierung oder Maschinenwerte importieren</translation>
  </message>
  <message>
   <source>Import…</source>
   <translation>Importieren…</translation>
  </message>
  <message>
   <source>In force.</source>
   <translation>Gilt.</translation>
  </message>
  <message>
   <source>In the job tree</source>
   <translation>Im Auftragsbaum</translation>
  </message>
  <message>
   <source>Inert gas suffocates without warning.</source>
   <translation>Inertgas erstickt ohne Vorwarnung.</translation>
  </message>
  <message>
   <source>Inspector</source>
   <translation>Eigenschaften</translation>
  </message>
  <message>
   <source>Into the gas</source>
   <translation>Ins Gas</translation>
  </message>
  <message>
   <source>Into the plate</source>
   <translation>In die Platte</translation>
  </message>
  <message>
   <source>Invented build</source>
   <translation>Erfundener Bau</translation>
  </message>
  <message>
   <source>Invented build: nothing in it was measured on a machine.</source>
   <translation>Erfundener Bau: nichts darin wurde an einer Maschine gemessen.</translation>
  </message>
  <message>
   <source>Inventing a build</source>
   <translation>Bau wird erfunden</translation>
  </message>
  <message>
   <source>Isometric</source>
   <translation>Isometrisch</translation>
  </message>
  <message>
   <source>It lowers the temperature from layer to layer. It does not change the melt pool of the first track, which is laid on powder.</source>
   <translation>Er senkt die Temperatur von Schicht zu Schicht. Er ändert nicht das Schmelzbad der ersten Spur, die auf Pulver liegt.</translation>
  </message>
  <message>
   <source>It touches nothing, so it gives no hold-down against curl. A part that warps is not held by it.</source>
   <translation>Er berührt nichts, hält also nichts gegen Aufbiegen nieder. Ein Teil, das sich verzieht, hält er nicht.</translation>
  </message>
  <message>
   <source>Job</source>
   <translation>Auftrag</translation>
  </message>
  <message>
   <source>Job tree</source>
   <translation>Auftragsbaum</translation>
  </message>
  <message>
   <source>Job: part, patches, sinks, findings</source>
   <translation>Auftrag: Teil, Flecken, Kühlkörper, Befunde</translation>
  </message>
  <message>
   <source>Just after exposure</source>
   <translation>Gleich nach Belichtung</translation>
  </message>
  <message>
   <source>Just after exposure, with sinks</source>
   <translation>Gleich nach Belichtung, mit Kühlkörpern</translation>
  </message>
  <message>
   <source>Keep for the gap window</source>
   <translation>Für das Spaltfenster behalten</translation>
  </message>
  <message>
   <source>Keep machine setting</source>
   <translation>Maschinenwerte behalten</translation>
  </message>
  <message>
   <source>Keeps gap, dimensions and zone of this sink, to be pasted to others.</source>
   <translation>Merkt sich Spalt, Maße und Zone dieses Kühlkörpers, um sie in andere einzufügen.</translation>
  </message>
  <message>
   <source>Kept in your own library, by alloy and laser setting; earlier trials stay in it.</source>
   <translation>In Ihrer eigenen Sammlung behalten, nach Legierung und Laserwerten; frühere Versuche bleiben darin.</translation>
  </message>
  <message>
   <source>Kept trials</source>
   <translation>Behaltene Versuche</translation>
  </message>
  <message>
   <source>Keys</source>
   <translation>Tasten</translation>
  </message>
  <message>
   <source>Keys and mouse</source>
   <translation>Tasten und Maus</translation>
  </message>
  <message>
   <source>Kind</source>
   <translation>Art</translation>
  </message>
  <message>
   <source>Kind of sink</source>
   <translation>Art des Kühlkörpers</translation>
  </message>
  <message>
   <source>Laid on the part with RMS {0} µm by {1} of the places looked at; turned by {2}°.</source>
   <translation>Auf das Teil gelegt mit RMS {0} µm über {1} der betrachteten Stellen; gedreht um {2}°.</translation>
  </message>
  <message>
   <source>Language of the desktop</source>
   <translation>Sprache des Schreibtischs</translation>
  </message>
  <message>
   <source>Large: none is better in everything. Small: all tried. Cross: as it stands now.</source>
   <translation>Groß: keine ist in allem besser. Klein: alle versuchten. Kreuz: wie es jetzt steht.</translation>
  </message>
  <message>
   <source>Laser settings of the downskin</source>
   <translation>Laserwerte des Downskins</translation>
  </message>
  <message>
   <source>Layer</source>
   <translation>Schicht</translation>
  </message>
  <message>
   <source>Layer images</source>
   <translation>Schichtbilder</translation>
  </message>
  <message>
   <source>Layer images, score above each face</source>
   <translation>Schichtbilder, Wert über jeder Fläche</translation>
  </message>
  <message>
   <source>Layer shown</source>
   <translation>Gezeigte Schicht</translation>
  </message>
  <message>
   <source>Layer strip: low-angle area by height</source>
   <translation>Schichtstreifen: flache Fläche nach Höhe</translation>
  </message>
  <message>
   <source>Layer time</source>
   <translation>Schichtzeit</translation>
  </message>
  <message>
   <source>Layer {0}, up to {1} mm: outline of the part's slice in teal, hot spots ringed.</source>
   <translation>Schicht {0}, bis {1} mm: Umriss des Teilschnitts in Petrol, heiße Stellen umringt.</translation>
  </message>
  <message>
   <source>Layers</source>
   <translation>Schichten</translation>
  </message>
  <message>
   <source>Layers above the patch with these settings; 0 cuts no zone.</source>
   <translation>Schichten über dem Fleck mit diesen Werten; 0 schneidet keine Zone.</translation>
  </message>
  <message>
   <source>Least thickness of the closed top.</source>
   <translation>Geringste Dicke des geschlossenen Deckels.</translation>
  </message>
  <message>
   <source>Leaves out orientations that stand on an edge or a point.</source>
   <translation>Lässt Ausrichtungen weg, die auf Kante oder Spitze stehen.</translation>
  </message>
  <message>
   <source>Left</source>
   <translation>Links</translation>
  </message>
  <message>
   <source>Length unit of the file</source>
   <translation>Längeneinheit der Datei</translation>
  </message>
  <message>
   <source>Let a side be downskin</source>
   <translation>Seite darf Downskin sein</translation>
  </message>
  <message>
   <source>Library files</source>
   <translation>Sammlungsdateien</translation>
  </message>
  <message>
   <source>Light colours</source>
   <translation>Helle Farben</translation>
  </message>
  <message>
   <source>Limits of validity</source>
   <translation>Gültigkeitsgrenzen</translation>
  </message>
  <message>
   <source>Limits of {0}, powder and laser.</source>
   <translation>Grenzen für {0}, Pulver und Laser.</translation>
  </message>
  <message>
   <source>List all work in the background; each can be stopped.</source>
   <translation>Alle Arbeit im Hintergrund auflisten; jede lässt sich anhalten.</translation>
  </message>
  <message>
   <source>Log</source>
   <translation>Protokoll</translation>
  </message>
  <message>
   <source>Look at the downskin from below</source>
   <translation>Den Downskin von unten ansehen</translation>
  </message>
  <message>
   <source>Look closer for powder</source>
   <translation>Genauer nach Pulver suchen</translation>
  </message>
  <message>
   <source>Look from above</source>
   <translation>Von oben ansehen</translation>
  </message>
  <message>
   <source>Look through the sinks; their edges stay</source>
   <translation>Durch die Kühlkörper sehen; ihre Kanten bleiben</translation>
  </message>
  <message>
   <source>Looking at {0}</source>
   <translation>Blick auf {0}</translation>
  </message>
  <message>
   <source>Looking for a card</source>
   <translation>Karte wird gesucht</translation>
  </message>
  <message>
   <source>Loop: drag round faces to add those seen inside, Ctrl or Alt + drag to take them out · right drag turns · Esc ends</source>
   <translation>Schleife: um Flächen ziehen nimmt die darin gesehenen hinzu, Strg oder Alt + Ziehen nimmt sie heraus · Ziehen mit rechts dreht · Esc beendet</translation>
  </message>
  <message>
   <source>Low-angle area by height. Drag to cut the part at a height; double-click to show all of it.</source>
   <translation>Flache Fläche nach Höhe. Ziehen schneidet das Teil in einer Höhe; Doppelklick zeigt es ganz.</translation>
  </message>
  <message>
   <source>Low-angle area, mm²</source>
   <translation>Flache Fläche, mm²</translation>
  </message>
  <message>
   <source>Low-angle limit</source>
   <translation>Flachheitsgrenze</translation>
  </message>
  <message>
   <source>Lower it onto the plate</source>
   <translation>Auf die Platte absenken</translation>
  </message>
  <message>
   <source>Lower onto the plate</source>
   <translation>Auf die Platte absenken</translation>
  </message>
  <message>
   <source>Lowest angle below</source>
   <translation>Kleinster Winkel unter</translation>
  </message>
  <message>
   <source>Lowest angle to the build plate</source>
   <translation>Kleinster Winkel zur Bauplatte</translation>
  </message>
  <message>
   <source>Machine</source>
   <translation>Rechner</translation>
  </message>
  <message>
   <source>Machine setting: {0}</source>
   <translation>Maschinenwerte: {0}</translation>
  </message>
  <message>
   <source>Make the walls {0} mm thick</source>
   <translation>Wände {0} mm dick machen</translation>
  </message>
  <message>
   <source>Manifold block</source>
   <translation>Verteilerblock</translation>
  </message>
  <message>
   <source>Margin</source>
   <translation>Überstand</translation>
  </message>
  <message>
   <source>Mark by clicks</source>
   <translation>Anklicken</translation>
  </message>
  <message>
   <source>Mark faces never downskin</source>
   <translation>Flächen als nie Downskin markieren</translation>
  </message>
  <message>
   <source>Marks at the left edge: layers with hot spots in the layer images.</source>
   <translation>Marken am linken Rand: Schichten mit heißen Stellen in den Schichtbildern.</translation>
  </message>
  <message>
   <source>Mass of the sinks, g</source>
   <translation>Masse der Kühlkörper, g</translation>
  </message>
  <message>
   <source>Materials and machines</source>
   <translation>Werkstoffe und Maschinen</translation>
  </message>
  <message>
   <source>Mean</source>
   <translation>Mittel</translation>
  </message>
  <message>
   <source>Mean deviation of the patch</source>
   <translation>Mittlere Abweichung des Flecks</translation>
  </message>
  <message>
   <source>Mean diameter</source>
   <translation>Mittlere Größe</translation>
  </message>
  <message>
   <source>Mean heat flow down through the patch.</source>
   <translation>Mittlerer Wärmestrom nach unten durch den Fleck.</translation>
  </message>
  <message>
   <source>Mean of the patch just before the next layer.</source>
   <translation>Mittel des Flecks kurz vor der nächsten Schicht.</translation>
  </message>
  <message>
   <source>Mean of the patch, smoothed over a cell.</source>
   <translation>Mittel des Flecks, über eine Zelle geglättet.</translation>
  </message>
  <message>
   <source>Mean rise over the plate's temperature, layer after layer.</source>
   <translation>Mittlerer Anstieg über die Plattentemperatur, Schicht für Schicht.</translation>
  </message>
  <message>
   <source>Mean σ</source>
   <translation>Mittel σ</translation>
  </message>
  <message>
   <source>Meant for {0}.</source>
   <translation>Gedacht für {0}.</translation>
  </message>
  <message>
   <source>Measure</source>
   <translation>Messen</translation>
  </message>
  <message>
   <source>Measured on the sinks</source>
   <translation>An den Kühlkörpern gemessen</translation>
  </message>
  <message>
   <source>Measuring between the parts</source>
   <translation>Abstände der Teile werden gemessen</translation>
  </message>
  <message>
   <source>Measuring the gap at the point</source>
   <translation>Spalt am Punkt wird gemessen</translation>
  </message>
  <message>
   <source>Measuring the powder gap</source>
   <translation>Pulverspalt wird gemessen</translation>
  </message>
  <message>
   <source>Melts {0} µm on solid, {1} µm on powder (estimate)</source>
   <translation>Schmilzt {0} µm auf Metall, {1} µm auf Pulver (Schätzung)</translation>
  </message>
  <message>
   <source>Meshes</source>
   <translation>Netze</translation>
  </message>
  <message>
   <source>Message</source>
   <translation>Meldung</translation>
  </message>
  <message>
   <source>Metal at most</source>
   <translation>Metall höchstens</translation>
  </message>
  <message>
   <source>Metal of all sinks</source>
   <translation>Metall aller Kühlkörper</translation>
  </message>
  <message>
   <source>Metal powder burns and its dust explodes, titanium, aluminium and magnesium above all. Nickel, cobalt and chromium harm the lungs and sensitise the skin.</source>
   <translation>Metallpulver brennt und sein Staub explodiert, vor allem Titan, Aluminium und Magnesium. Nickel, Kobalt und Chrom schaden der Lunge und sensibilisieren die Haut.</translation>
  </message>
  <message>
   <source>Method, worked example, limits, formulas, scripting, safety</source>
   <translation>Methode, Beispiel, Grenzen, Formeln, Skripte, Sicherheit</translation>
  </message>
  <message>
   <source>Middle of the part's box, from the plate's origin.</source>
   <translation>Mitte des umschließenden Quaders, vom Ursprung der Platte aus.</translation>
  </message>
  <message>
   <source>Mouse in the view</source>
   <translation>Maus in der Ansicht</translation>
  </message>
  <message>
   <source>Move it to a free place</source>
   <translation>An einen freien Platz schieben</translation>
  </message>
  <message>
   <source>Move the part on the plate</source>
   <translation>Teil auf der Platte verschieben</translation>
  </message>
  <message>
   <source>Move {0} on the plate</source>
   <translation>{0} auf der Platte verschieben</translation>
  </message>
  <message>
   <source>Moves the part as little as it takes.</source>
   <translation>Verschiebt das Teil so wenig wie nötig.</translation>
  </message>
  <message>
   <source>NVIDIA card</source>
   <translation>NVIDIA-Karte</translation>
  </message>
  <message>
   <source>Name</source>
   <translation>Name</translation>
  </message>
  <message>
   <source>Name of the copy</source>
   <translation>Name der Kopie</translation>
  </message>
  <message>
   <source>Neck thickness</source>
   <translation>Halsdicke</translation>
  </message>
  <message>
   <source>Never downskin</source>
   <translation>Nie Downskin</translation>
  </message>
  <message>
   <source>Never downskin: clear</source>
   <translation>Nie Downskin: leeren</translation>
  </message>
  <message>
   <source>Never downskin: mark by clicks</source>
   <translation>Nie Downskin: anklicken</translation>
  </message>
  <message>
   <source>Never downskin: picked faces</source>
   <translation>Nie Downskin: gewählte Flächen</translation>
  </message>
  <message>
   <source>No face is marked as never downskin.</source>
   <translation>Keine Fläche ist als nie Downskin markiert.</translation>
  </message>
  <message>
   <source>No face of the part lies there · Esc ends</source>
   <translation>Dort liegt keine Fläche des Teils · Esc beendet</translation>
  </message>
  <message>
   <source>No hot spots: nowhere are enough pixels together above {0} σ.</source>
   <translation>Keine heißen Stellen: Nirgends liegen genug Pixel beisammen über {0} σ.</translation>
  </message>
  <message>
   <source>No low-angle face lies under the brush or in the loop.</source>
   <translation>Unter dem Pinsel oder in der Schleife liegt keine flache Fläche.</translation>
  </message>
  <message>
   <source>No orientation may turn the picked faces down</source>
   <translation>Keine Ausrichtung darf die gewählten Flächen nach unten drehen</translation>
  </message>
  <message>
   <source>No part is open.</source>
   <translation>Kein Teil ist geöffnet.</translation>
  </message>
  <message>
   <source>No patch is that flat and that large.</source>
   <translation>Kein Fleck ist so flach und so groß.</translation>
  </message>
  <message>
   <source>No sink is proposed; the Sink page says why.</source>
   <translation>Kein Kühlkörper wird vorgeschlagen; die Seite Kühlen sagt, warum.</translation>
  </message>
  <message>
   <source>No sinks are built yet.</source>
   <translation>Noch sind keine Kühlkörper gebaut.</translation>
  </message>
  <message>
   <source>No zone: all layers are exposed with the settings above.</source>
   <translation>Keine Zone: alle Schichten werden mit den Werten oben belichtet.</translation>
  </message>
  <message>
   <source>None yet for {0}; the gap window is the model's estimate.</source>
   <translation>Noch keine für {0}; das Spaltfenster ist die Schätzung des Modells.</translation>
  </message>
  <message>
   <source>Nothing lies there; click a point on the part or a sink · Esc ends</source>
   <translation>Dort liegt nichts; einen Punkt auf Teil oder Kühlkörper anklicken · Esc beendet</translation>
  </message>
  <message>
   <source>Number, the most even one first</source>
   <translation>Nummer, die ausgewogenste zuerst</translation>
  </message>
  <message>
   <source>Of each kind</source>
   <translation>Von jeder Art</translation>
  </message>
  <message>
   <source>Of the surface, for its radiation.</source>
   <translation>Der Oberfläche, für ihre Strahlung.</translation>
  </message>
  <message>
   <source>One file with all revisions.</source>
   <translation>Eine Datei mit allen Revisionen.</translation>
  </message>
  <message>
   <source>One more row of this table, at the temperature above.</source>
   <translation>Eine weitere Zeile dieser Tabelle, bei der Temperatur oben.</translation>
  </message>
  <message>
   <source>One step, which undo takes back; the job keeps the values.</source>
   <translation>Ein Schritt, den Rückgängig zurücknimmt; der Auftrag behält die Werte.</translation>
  </message>
  <message>
   <source>Open a part first.</source>
   <translation>Öffnen Sie zuerst ein Teil.</translation>
  </message>
  <message>
   <source>Open a part or a job</source>
   <translation>Ein Teil oder einen Auftrag öffnen</translation>
  </message>
  <message>
   <source>Open a part to begin</source>
   <translation>Öffnen Sie ein Teil</translation>
  </message>
  <message>
   <source>Open a part…</source>
   <translation>Teil öffnen…</translation>
  </message>
  <message>
   <source>Open a trial sheet</source>
   <translation>Versuchsblatt öffnen</translation>
  </message>
  <message>
   <source>Open a trial sheet…</source>
   <translation>Versuchsblatt öffnen…</translation>
  </message>
  <message>
   <source>Open an invented build</source>
   <translation>Erfundenen Bau öffnen</translation>
  </message>
  <message>
   <source>Open recent</source>
   <translation>Zuletzt geöffnet</translation>
  </message>
  <message>
   <source>Open the part or job that was built first.</source>
   <translation>Öffnen Sie zuerst das Teil oder den Auftrag, der gebaut wurde.</translation>
  </message>
  <message>
   <source>Opened last:</source>
   <translation>Zuletzt geöffnet:</translation>
  </message>
  <message>
   <source>Opening {0}</source>
   <translation>{0} wird geöffnet</translation>
  </message>
  <message>
   <source>Or a sample part of the Nordhaven Tidal workshop:</source>
   <translation>Oder ein Beispielteil der Werkstatt Nordhaven Tidal:</translation>
  </message>
  <message>
   <source>Orientation of the part</source>
   <translation>Ausrichtung des Teils</translation>
  </message>
  <message>
   <source>Orientation study</source>
   <translation>Ausrichtungen vergleichen</translation>
  </message>
  <message>
   <source>Orientations over two values</source>
   <translation>Ausrichtungen über zwei Werten</translation>
  </message>
  <message>
   <source>Orientations that none beats</source>
   <translation>Ausrichtungen, die keine übertrifft</translation>
  </message>
  <message>
   <source>Orientations were not compared for the job as it is; compare them, then export.</source>
   <translation>Für den jetzigen Auftrag wurden keine Ausrichtungen verglichen; erst vergleichen, dann exportieren.</translation>
  </message>
  <message>
   <source>Origin</source>
   <translation>Ursprung</translation>
  </message>
  <message>
   <source>Origin of the plate</source>
   <translation>Ursprung der Platte</translation>
  </message>
  <message>
   <source>Orthographic</source>
   <translation>Orthografisch</translation>
  </message>
  <message>
   <source>Other side</source>
   <translation>Andere Seite</translation>
  </message>
  <message>
   <source>Out of date: settings, part or faces that must not look down are others now.</source>
   <translation>Überholt: Werte, Teil oder Flächen, die nicht nach unten schauen dürfen, sind jetzt andere.</translation>
  </message>
  <message>
   <source>Out of date: the job changed since.</source>
   <translation>Veraltet: der Auftrag hat sich seither geändert.</translation>
  </message>
  <message>
   <source>Out of date: the job or the settings above changed.</source>
   <translation>Überholt: Der Auftrag oder die Werte oben haben sich geändert.</translation>
  </message>
  <message>
   <source>Out of date: the part, its patches or its sinks are not those that were compared.</source>
   <translation>Überholt: Das Teil, seine Flecken oder Kühlkörper sind nicht die verglichenen.</translation>
  </message>
  <message>
   <source>Out of date: {0}</source>
   <translation>Überholt: {0}</translation>
  </message>
  <message>
   <source>Overhang step: how far each layer hangs over powder; ∞ for a flat ceiling</source>
   <translation>Überhangschritt: wie weit jede Schicht über Pulver hängt; ∞ für eine ebene Decke</translation>
  </message>
  <message>
   <source>Own alloys and machine settings, and where every value comes from</source>
   <translation>Eigene Legierungen und Maschinenwerte, und woher jeder Wert kommt</translation>
  </message>
  <message>
   <source>Page Check</source>
   <translation>Seite Prüfen</translation>
  </message>
  <message>
   <source>Page Heat</source>
   <translation>Seite Wärme</translation>
  </message>
  <message>
   <source>Page Place</source>
   <translation>Seite Lage</translation>
  </message>
  <message>
   <source>Page Process</source>
   <translation>Seite Prozess</translation>
  </message>
  <message>
   <source>Page Sink</source>
   <translation>Seite Kühlen</translation>
  </message>
  <message>
   <source>Page of the handbook</source>
   <translation>Seite des Handbuchs</translation>
  </message>
  <message>
   <source>Pages of the inspector</source>
   <translation>Seiten der Eigenschaften</translation>
  </message>
  <message>
   <source>Part</source>
   <translation>Teil</translation>
  </message>
  <message>
   <source>Part centre {0}</source>
   <translation>Teilmitte {0}</translation>
  </message>
  <message>
   <source>Part: none</source>
   <translation>Teil: keines</translation>
  </message>
  <message>
   <source>Part: {0}</source>
   <translation>Teil: {0}</translation>
  </message>
  <message>
   <source>Parts</source>
   <translation>Teile</translation>
  </message>
  <message>
   <source>Parts and jobs</source>
   <translation>Teile und Aufträge</translation>
  </message>
  <message>
   <source>Parts and sinks nearer to each other than this are named, as they may grow together.</source>
   <translation>Teile und Kühlkörper, die näher beieinander stehen, werden genannt, da sie zusammenwachsen können.</translation>
  </message>
  <message>
   <source>Parts on the plate</source>
   <translation>Teile auf der Platte</translation>
  </message>
  <message>
   <source>Passes</source>
   <translation>Durchgänge</translation>
  </message>
  <message>
   <source>Passes in the zone</source>
   <translation>Durchgänge in der Zone</translation>
  </message>
  <message>
   <source>Paste</source>
   <translation>Einfügen</translation>
  </message>
  <message>
   <source>Paste settings to the chosen sinks</source>
   <translation>Werte in gewählte Kühlkörper einfügen</translation>
  </message>
  <message>
   <source>Paste settings to {0} sinks</source>
   <translation>Werte in {0} Kühlkörper einfügen</translation>
  </message>
  <message>
   <source>Patch</source>
   <translation>Fleck</translation>
  </message>
  <message>
   <source>Patch of the result</source>
   <translation>Fleck des Ergebnisses</translation>
  </message>
  <message>
   <source>Patch of the zone</source>
   <translation>Fleck der Zone</translation>
  </message>
  <message>
   <source>Patch {0}</source>
   <translation>Fleck {0}</translation>
  </message>
  <message>
   <source>Patch {0}, picked</source>
   <translation>Fleck {0}, gewählt</translation>
  </message>
  <message>
   <source>Patch {0}: {1} mm², {2}° to {3}° on average, {4} to {5} mm high.</source>
   <translation>Fleck {0}: {1} mm², {2}°, im Mittel {3}°, {4} bis {5} mm hoch.</translation>
  </message>
  <message>
   <source>Patches</source>
   <translation>Flecken</translation>
  </message>
  <message>
   <source>Patches and all hot spots, for a spreadsheet.</source>
   <translation>Flecken und alle heißen Stellen, für eine Tabelle.</translation>
  </message>
  <message>
   <source>Patches in the layer images</source>
   <translation>Flecken in den Schichtbildern</translation>
  </message>
  <message>
   <source>Patches in the scan</source>
   <translation>Flecken im Scan</translation>
  </message>
  <message>
   <source>Patches under {0}°: {1}</source>
   <translation>Flecken unter {0}°: {1}</translation>
  </message>
  <message>
   <source>Patches with a sink are brighter by {0} σ than those without (95 % {1} to {2}; effect size, Hedges' g, {3}, {4} to {5}).</source>
   <translation>Flecken mit Kühlkörper sind um {0} σ heller als die ohne (95 %: {1} bis {2}; Effektstärke, Hedges’ g, {3}, {4} bis {5}).</translation>
  </message>
  <message>
   <source>Patches with a sink are darker by {0} σ than those without (95 % {1} to {2}; effect size, Hedges' g, {3}, {4} to {5}).</source>
   <translation>Flecken mit Kühlkörper sind um {0} σ dunkler als die ohne (95 %: {1} bis {2}; Effektstärke, Hedges’ g, {3}, {4} bis {5}).</translation>
  </message>
  <message>
   <source>Patches with a sink are not told from others: {0} µm (95 %: {1} to {2} µm, which holds 0).</source>
   <translation>Flecken mit Kühlkörper sind von anderen nicht zu unterscheiden: {0} µm (95 %: {1} bis {2} µm, was 0 enthält).</translation>
  </message>
  <message>
   <source>Patches with a sink are not told from those without: {0} σ (95 % {1} to {2}, which holds 0; effect size, Hedges' g, {3}, {4} to {5}).</source>
   <translation>Flecken mit Kühlkörper sind von denen ohne nicht zu unterscheiden: {0} σ (95 %: {1} bis {2}, was 0 enthält; Effektstärke, Hedges’ g, {3}, {4} bis {5}).</translation>
  </message>
  <message>
   <source>Patches with a sink can't be compared with others: the images show only one of the two kinds.</source>
   <translation>Flecken mit Kühlkörper lassen sich nicht mit anderen vergleichen: Die Bilder zeigen nur eine der zwei Arten.</translation>
  </message>
  <message>
   <source>Patches with a sink can't be compared with others: the scan has only one of the two kinds.</source>
   <translation>Flecken mit Kühlkörper lassen sich nicht mit anderen vergleichen: Der Scan hat nur eine der zwei Arten.</translation>
  </message>
  <message>
   <source>Patches with a sink lie {0} µm further in than others (95 %: {1} to {2} µm).</source>
   <translation>Flecken mit Kühlkörper liegen {0} µm weiter innen als andere (95 %: {1} bis {2} µm).</translation>
  </message>
  <message>
   <source>Patches with a sink lie {0} µm further out than others (95 %: {1} to {2} µm).</source>
   <translation>Flecken mit Kühlkörper liegen {0} µm weiter außen als andere (95 %: {1} bis {2} µm).</translation>
  </message>
  <message>
   <source>Path of the data set inside the HDF5 file; empty where there is only one.</source>
   <translation>Pfad des Datensatzes in der HDF5-Datei; leer, wo es nur einen gibt.</translation>
  </message>
  <message>
   <source>Pick a face first; the build is compared with its sink and without.</source>
   <translation>Wählen Sie zuerst eine Fläche; der Bau wird mit und ohne Kühlkörper verglichen.</translation>
  </message>
  <message>
   <source>Pick a face first; then its sink is built and can be exported.</source>
   <translation>Wählen Sie zuerst eine Fläche; dann wird ihr Kühlkörper gebaut und lässt sich exportieren.</translation>
  </message>
  <message>
   <source>Pick a face to see what the zone's settings do there.</source>
   <translation>Eine Fläche wählen, um zu sehen, was die Werte der Zone dort tun.</translation>
  </message>
  <message>
   <source>Pick all patches</source>
   <translation>Alle Flecken wählen</translation>
  </message>
  <message>
   <source>Pick by rule</source>
   <translation>Nach Regel wählen</translation>
  </message>
  <message>
   <source>Pick by rule…</source>
   <translation>Nach Regel wählen…</translation>
  </message>
  <message>
   <source>Pick face</source>
   <translation>Fläche wählen</translation>
  </message>
  <message>
   <source>Pick patches</source>
   <translation>Flecken wählen</translation>
  </message>
  <message>
   <source>Pick these patches</source>
   <translation>Diese Flecken wählen</translation>
  </message>
  <message>
   <source>Picture of the chosen orientation</source>
   <translation>Bild der gewählten Ausrichtung</translation>
  </message>
  <message>
   <source>Pictures</source>
   <translation>Bilder</translation>
  </message>
  <message>
   <source>Place of the section</source>
   <translation>Ort des Schnitts</translation>
  </message>
  <message>
   <source>Place of the section in the part's coordinates</source>
   <translation>Ort des Schnitts in Koordinaten des Teils</translation>
  </message>
  <message>
   <source>Place, turn, duplicate and remove parts; which are too near</source>
   <translation>Teile stellen, drehen, verdoppeln, entfernen; welche zu nah stehen</translation>
  </message>
  <message>
   <source>Placed by {0} pairs ({1}): RMS {2} px = {3} mm, {4} mm a pixel, turned {5}°, {6}.</source>
   <translation>Eingepasst durch {0} Paare ({1}): RMS {2} px = {3} mm, {4} mm je Pixel, gedreht {5}°, {6}.</translation>
  </message>
  <message>
   <source>Plate preheat</source>
   <translation>Vorwärmung</translation>
  </message>
  <message>
   <source>Plot and tables are written to {0}.</source>
   <translation>Zeichnung und Tabellen stehen in {0}.</translation>
  </message>
  <message>
   <source>Plot of the trials</source>
   <translation>Zeichnung der Versuche</translation>
  </message>
  <message>
   <source>Point pairs</source>
   <translation>Punktpaare</translation>
  </message>
  <message>
   <source>Point pairs of the scan</source>
   <translation>Punktpaare des Scans</translation>
  </message>
  <message>
   <source>Point pairs or marks</source>
   <translation>Punktpaare oder Marken</translation>
  </message>
  <message>
   <source>Points</source>
   <translation>Punkte</translation>
  </message>
  <message>
   <source>Porosity</source>
   <translation>Porosität</translation>
  </message>
  <message>
   <source>Powder</source>
   <translation>Pulver</translation>
  </message>
  <message>
   <source>Powder around</source>
   <translation>Pulver ringsum</translation>
  </message>
  <message>
   <source>Powder conductivity</source>
   <translation>Leitfähigkeit des Pulvers</translation>
  </message>
  <message>
   <source>Powder gap</source>
   <translation>Pulverspalt</translation>
  </message>
  <message>
   <source>Powder gap, least of each face</source>
   <translation>Pulverspalt, kleinster jeder Fläche</translation>
  </message>
  <message>
   <source>Powder trapped between part and sink comes loose when parts are cut or knocked; open it where dust is extracted.</source>
   <translation>Zwischen Teil und Kühlkörper eingeschlossenes Pulver löst sich beim Trennen oder Klopfen; öffnen Sie dort, wo Staub abgesaugt wird.</translation>
  </message>
  <message>
   <source>Powder, gas and radiation</source>
   <translation>Pulver, Gas und Strahlung</translation>
  </message>
  <message>
   <source>Power</source>
   <translation>Leistung</translation>
  </message>
  <message>
   <source>Power in the zone</source>
   <translation>Leistung in der Zone</translation>
  </message>
  <message>
   <source>Process: {0}, layer {1} mm</source>
   <translation>Prozess: {0}, Schicht {1} mm</translation>
  </message>
  <message>
   <source>Proposal</source>
   <translation>Vorschlag</translation>
  </message>
  <message>
   <source>Propose sinks</source>
   <translation>Kühlkörper vorschlagen</translation>
  </message>
  <message>
   <source>Proposing sinks</source>
   <translation>Kühlkörper werden vorgeschlagen</translation>
  </message>
  <message>
   <source>Put back</source>
   <translation>Zurücklegen</translation>
  </message>
  <message>
   <source>Put one more part on the plate</source>
   <translation>Ein weiteres Teil auf die Platte stellen</translation>
  </message>
  <message>
   <source>Puts the trials that were removed last back into your library.</source>
   <translation>Legt die zuletzt entfernten Versuche in Ihre Sammlung zurück.</translation>
  </message>
  <message>
   <source>Quantity</source>
   <translation>Größe</translation>
  </message>
  <message>
   <source>Quick look</source>
   <translation>Kurzblick</translation>
  </message>
  <message>
   <source>Quick look at the heat</source>
   <translation>Kurzblick auf die Wärme</translation>
  </message>
  <message>
   <source>Quick look on cells of {0} mm: their size leaves ± {1} K with the sink, ± {2} K without.</source>
   <translation>Kurzblick auf Zellen von {0} mm: Ihre Größe lässt ± {1} K mit Kühlkörper und ± {2} K ohne offen.</translation>
  </message>
  <message>
   <source>Rank correlation with the predicted temperature between layers: by layers {0}, by faces {1}.</source>
   <translation>Rangkorrelation mit der vorhergesagten Temperatur zwischen Schichten: nach Schichten {0}, nach Flächen {1}.</translation>
  </message>
  <message>
   <source>Reach</source>
   <translation>Reichweite</translation>
  </message>
  <message>
   <source>Read it again</source>
   <translation>Neu lesen</translation>
  </message>
  <message>
   <source>Reading the part again</source>
   <translation>Teil wird neu gelesen</translation>
  </message>
  <message>
   <source>Reading {0}</source>
   <translation>{0} wird gelesen</translation>
  </message>
  <message>
   <source>Reading {0} again</source>
   <translation>{0} wird neu gelesen</translation>
  </message>
  <message>
   <source>Recoater blade</source>
   <translation>Beschichterklinge</translation>
  </message>
  <message>
   <source>Recoating time</source>
   <translation>Beschichtungszeit</translation>
  </message>
  <message>
   <source>Redo</source>
   <translation>Wiederholen</translation>
  </message>
  <message>
   <source>Remove</source>
   <translation>Entfernen</translation>
  </message>
  <message>
   <source>Remove picked face</source>
   <translation>Gewählte Fläche entfernen</translation>
  </message>
  <message>
   <source>Remove row</source>
   <translation>Zeile weg</translation>
  </message>
  <message>
   <source>Remove {0}</source>
   <translation>{0} entfernen</translation>
  </message>
  <message>
   <source>Report after the build</source>
   <translation>Bericht nach dem Bau</translation>
  </message>
  <message>
   <source>Report after the build…</source>
   <translation>Bericht nach dem Bau…</translation>
  </message>
  <message>
   <source>Reset the layout</source>
   <translation>Anordnung zurücksetzen</translation>
  </message>
  <message>
   <source>Restore default ({0})</source>
   <translation>Vorgabe wiederherstellen ({0})</translation>
  </message>
  <message>
   <source>Rests on at least</source>
   <translation>Steht auf mindestens</translation>
  </message>
  <message>
   <source>Revision</source>
   <translation>Revision</translation>
  </message>
  <message>
   <source>Revision {0} of {1}</source>
   <translation>Revision {0} von {1}</translation>
  </message>
  <message>
   <source>Revision {0} of {1}, newest</source>
   <translation>Revision {0} von {1}, neueste</translation>
  </message>
  <message>
   <source>Right</source>
   <translation>Rechts</translation>
  </message>
  <message>
   <source>Rise
K</source>
   <translation>Anstieg
K</translation>
  </message>
  <message>
   <source>Rise with sink</source>
   <translation>Anstieg mit</translation>
  </message>
  <message>
   <source>Rise without</source>
   <translation>Anstieg ohne</translation>
  </message>
  <message>
   <source>Rise, K</source>
   <translation>Anstieg, K</translation>
  </message>
  <message>
   <source>Robust standard deviations above the median of the part's pixels in the same layer.</source>
   <translation>Robuste Standardabweichungen über dem Median der Pixel des Teils in derselben Schicht.</translation>
  </message>
  <message>
   <source>Roof slope</source>
   <translation>Dachneigung</translation>
  </message>
  <message>
   <source>Safety</source>
   <translation>Sicherheit</translation>
  </message>
  <message>
   <source>Save</source>
   <translation>Speichern</translation>
  </message>
  <message>
   <source>Save &amp;as…</source>
   <translation>Speichern &amp;unter…</translation>
  </message>
  <message>
   <source>Save &amp;picture…</source>
   <translation>Bi&amp;ld speichern…</translation>
  </message>
  <message>
   <source>Save a picture of the view</source>
   <translation>Ein Bild der Ansicht speichern</translation>
  </message>
  <message>
   <source>Save as a revision</source>
   <translation>Als Revision speichern</translation>
  </message>
  <message>
   <source>Save as…</source>
   <translation>Speichern unter…</translation>
  </message>
  <message>
   <source>Save the changes as a revision before applying it.</source>
   <translation>Die Änderungen vor dem Anwenden als Revision speichern.</translation>
  </message>
  <message>
   <source>Save the changes as a revision, or drop them, before copying.</source>
   <translation>Die Änderungen vor dem Kopieren als Revision speichern oder verwerfen.</translation>
  </message>
  <message>
   <source>Save the changes as a revision, or drop them, before looking further.</source>
   <translation>Die Änderungen vor dem Weitersehen als Revision speichern oder verwerfen.</translation>
  </message>
  <message>
   <source>Save the job</source>
   <translation>Den Auftrag speichern</translation>
  </message>
  <message>
   <source>Scan</source>
   <translation>Scan</translation>
  </message>
  <message>
   <source>Scan deviation</source>
   <translation>Scan-Abweichung</translation>
  </message>
  <message>
   <source>Scan deviation, mean of each face</source>
   <translation>Scan-Abweichung, Mittel jeder Fläche</translation>
  </message>
  <message>
   <source>Scanned surface</source>
   <translation>Gescannte Oberfläche</translation>
  </message>
  <message>
   <source>Scripting</source>
   <translation>Skripte</translation>
  </message>
  <message>
   <source>Searches finer cells and behind necks for powder that stays inside; takes some seconds more.</source>
   <translation>Sucht feinere Zellen und hinter Engstellen nach Pulver, das drin bleibt; dauert einige Sekunden länger.</translation>
  </message>
  <message>
   <source>Section</source>
   <translation>Schnitt</translation>
  </message>
  <message>
   <source>See-through sinks</source>
   <translation>Kühlkörper durchsichtig</translation>
  </message>
  <message>
   <source>Seed of the places</source>
   <translation>Startzahl der Plätze</translation>
  </message>
  <message>
   <source>Sensor bracket</source>
   <translation>Sensorhalter</translation>
  </message>
  <message>
   <source>Sensor fairing</source>
   <translation>Sensorverkleidung</translation>
  </message>
  <message>
   <source>Set allowed rise</source>
   <translation>Erlaubten Anstieg setzen</translation>
  </message>
  <message>
   <source>Set alloy to {0}</source>
   <translation>Legierung auf {0} setzen</translation>
  </message>
  <message>
   <source>Set build height</source>
   <translation>Bauhöhe setzen</translation>
  </message>
  <message>
   <source>Set distance of sinks</source>
   <translation>Abstand der Kühlkörper setzen</translation>
  </message>
  <message>
   <source>Set fin direction</source>
   <translation>Rippenrichtung setzen</translation>
  </message>
  <message>
   <source>Set gap to {0}</source>
   <translation>Spalt auf {0} setzen</translation>
  </message>
  <message>
   <source>Set gas</source>
   <translation>Gas setzen</translation>
  </message>
  <message>
   <source>Set grow angle</source>
   <translation>Wachstumswinkel setzen</translation>
  </message>
  <message>
   <source>Set kind of sink</source>
   <translation>Art des Kühlkörpers setzen</translation>
  </message>
  <message>
   <source>Set low-angle limit</source>
   <translation>Flachheitsgrenze setzen</translation>
  </message>
  <message>
   <source>Set passes</source>
   <translation>Durchgänge setzen</translation>
  </message>
  <message>
   <source>Set plate border</source>
   <translation>Plattenrand setzen</translation>
  </message>
  <message>
   <source>Set plate depth</source>
   <translation>Plattentiefe setzen</translation>
  </message>
  <message>
   <source>Set plate origin</source>
   <translation>Ursprung der Platte setzen</translation>
  </message>
  <message>
   <source>Set plate width</source>
   <translation>Plattenbreite setzen</translation>
  </message>
  <message>
   <source>Set powder conductivity</source>
   <translation>Leitfähigkeit des Pulvers setzen</translation>
  </message>
  <message>
   <source>Set recoater blade</source>
   <translation>Beschichterklinge setzen</translation>
  </message>
  <message>
   <source>Set the best &amp;gap</source>
   <translation>Besten S&amp;palt setzen</translation>
  </message>
  <message>
   <source>Set the best gap</source>
   <translation>Besten Spalt setzen</translation>
  </message>
  <message>
   <source>Set the gap to {0}</source>
   <translation>Den Spalt auf {0} setzen</translation>
  </message>
  <message>
   <source>Set the margin to {0} mm</source>
   <translation>Den Überstand auf {0} mm setzen</translation>
  </message>
  <message>
   <source>Set the walls' direction to {0}°</source>
   <translation>Die Wandrichtung auf {0}° setzen</translation>
  </message>
  <message>
   <source>Set unit</source>
   <translation>Einheit setzen</translation>
  </message>
  <message>
   <source>Set {0}</source>
   <translation>{0} setzen</translation>
  </message>
  <message>
   <source>Set {0} to {1}</source>
   <translation>{0} auf {1} setzen</translation>
  </message>
  <message>
   <source>Settings of its own</source>
   <translation>Eigene Werte</translation>
  </message>
  <message>
   <source>Share done</source>
   <translation>Anteil fertig</translation>
  </message>
  <message>
   <source>Share done of: {0}</source>
   <translation>Anteil fertig von: {0}</translation>
  </message>
  <message>
   <source>Sheet {0}, kept on {1}.</source>
   <translation>Blatt {0}, behalten am {1}.</translation>
  </message>
  <message>
   <source>Shift + click</source>
   <translation>Umschalt + Klick</translation>
  </message>
  <message>
   <source>Shift or Ctrl + Space</source>
   <translation>Umschalt oder Strg + Leertaste</translation>
  </message>
  <message>
   <source>Short ledges in aluminium or copper gain little: the metal itself leads the heat away.</source>
   <translation>Kurze Vorsprünge in Aluminium oder Kupfer gewinnen wenig: Das Metall selbst leitet die Wärme ab.</translation>
  </message>
  <message>
   <source>Shortest way from sink to part, normal to the face.</source>
   <translation>Kürzester Weg vom Kühlkörper zum Teil, senkrecht zur Fläche.</translation>
  </message>
  <message>
   <source>Show colours on the part</source>
   <translation>Farben auf dem Teil zeigen</translation>
  </message>
  <message>
   <source>Show downskin zones</source>
   <translation>Downskin-Zonen zeigen</translation>
  </message>
  <message>
   <source>Show faces above the limit</source>
   <translation>Flächen über der Grenze zeigen</translation>
  </message>
  <message>
   <source>Show me the demo job</source>
   <translation>Beispielauftrag zeigen</translation>
  </message>
  <message>
   <source>Show sinks</source>
   <translation>Kühlkörper zeigen</translation>
  </message>
  <message>
   <source>Show the build plate</source>
   <translation>Bauplatte zeigen</translation>
  </message>
  <message>
   <source>Show the picked faces, or the sink clicked last</source>
   <translation>Die gewählten Flächen oder den zuletzt angeklickten Kühlkörper zeigen</translation>
  </message>
  <message>
   <source>Show the whole build plate</source>
   <translation>Die ganze Bauplatte zeigen</translation>
  </message>
  <message>
   <source>Show the whole part</source>
   <translation>Das ganze Teil zeigen</translation>
  </message>
  <message>
   <source>Show what is hidden now, and hide the rest</source>
   <translation>Zeigen, was jetzt verborgen ist, und den Rest verbergen</translation>
  </message>
  <message>
   <source>Sink</source>
   <translation>Kühlkörper</translation>
  </message>
  <message>
   <source>Sinks
g</source>
   <translation>Kühlk.
g</translation>
  </message>
  <message>
   <source>Sinks apart</source>
   <translation>Abstand</translation>
  </message>
  <message>
   <source>Sinks are see-through while the gaps are shown; {0} makes them solid again.</source>
   <translation>Kühlkörper sind durchsichtig, solange die Spalte gezeigt werden; {0} macht sie wieder undurchsichtig.</translation>
  </message>
  <message>
   <source>Sinks out of date</source>
   <translation>Kühlkörper überholt</translation>
  </message>
  <message>
   <source>Sinks proposed under {0} of {1} patches; the Sink page says why. Undo takes them back.</source>
   <translation>Kühlkörper unter {0} von {1} Flecken vorgeschlagen; die Seite Kühlen sagt, warum. Rückgängig nimmt sie zurück.</translation>
  </message>
  <message>
   <source>Sinks that would make it more than this are built lighter or left out.</source>
   <translation>Kühlkörper, mit denen es mehr würde, werden leichter gebaut oder weggelassen.</translation>
  </message>
  <message>
   <source>Sinks: none yet</source>
   <translation>Kühlkörper: noch keine</translation>
  </message>
  <message>
   <source>Sinks: {0}</source>
   <translation>Kühlkörper: {0}</translation>
  </message>
  <message>
   <source>Size</source>
   <translation>Größe</translation>
  </message>
  <message>
   <source>Size {0} × {1} × {2} mm</source>
   <translation>Größe {0} × {1} × {2} mm</translation>
  </message>
  <message>
   <source>Slope of the roofs between fins, from the plate.</source>
   <translation>Neigung der Dächer zwischen den Rippen, von der Platte aus.</translation>
  </message>
  <message>
   <source>Smooth edges (needs a graphics card)</source>
   <translation>Glatte Kanten (braucht eine Grafikkarte)</translation>
  </message>
  <message>
   <source>Something went wrong inside Underfin; your job is unchanged. The details are in the log.</source>
   <translation>In Underfin ging etwas schief; Ihr Auftrag ist unverändert. Einzelheiten stehen im Protokoll.</translation>
  </message>
  <message>
   <source>Source</source>
   <translation>Quelle</translation>
  </message>
  <message>
   <source>Source: {0}</source>
   <translation>Quelle: {0}</translation>
  </message>
  <message>
   <source>Space</source>
   <translation>Leertaste</translation>
  </message>
  <message>
   <source>Speed</source>
   <translation>Geschwindigkeit</translation>
  </message>
  <message>
   <source>Speed in the zone</source>
   <translation>Geschwindigkeit in der Zone</translation>
  </message>
  <message>
   <source>Spot (D4σ)</source>
   <translation>Laserfleck (D4σ)</translation>
  </message>
  <message>
   <source>Spot in the zone (D4σ)</source>
   <translation>Laserfleck in der Zone (D4σ)</translation>
  </message>
  <message>
   <source>Stands nowhere in the handbook.</source>
   <translation>Steht nirgends im Handbuch.</translation>
  </message>
  <message>
   <source>Starting values; put in what your machine and powder data say.</source>
   <translation>Startwerte; tragen Sie ein, was Maschine und Pulverdaten sagen.</translation>
  </message>
  <message>
   <source>Step
mm</source>
   <translation>Schritt
mm</translation>
  </message>
  <message>
   <source>Stop</source>
   <translation>Halt</translation>
  </message>
  <message>
   <source>Stop comparing orientations</source>
   <translation>Vergleich der Ausrichtungen anhalten</translation>
  </message>
  <message>
   <source>Stop comparing the scan</source>
   <translation>Vergleich des Scans anhalten</translation>
  </message>
  <message>
   <source>Stop the work in the background</source>
   <translation>Arbeit im Hintergrund anhalten</translation>
  </message>
  <message>
   <source>Stop: {0}</source>
   <translation>Halt: {0}</translation>
  </message>
  <message>
   <source>Stopped. What was done is kept and goes on from there.</source>
   <translation>Angehalten. Das Getane bleibt und es geht von dort weiter.</translation>
  </message>
  <message>
   <source>Stopping…</source>
   <translation>Wird angehalten…</translation>
  </message>
  <message>
   <source>Strip along the plate's edge that stays free.</source>
   <translation>Streifen am Plattenrand, der frei bleibt.</translation>
  </message>
  <message>
   <source>Swelling at the lowest edge: mean deviation of the patch's lowest half millimetre</source>
   <translation>Wulst an der tiefsten Kante: mittlere Abweichung des tiefsten halben Millimeters des Flecks</translation>
  </message>
  <message>
   <source>Table…</source>
   <translation>Tabelle…</translation>
  </message>
  <message>
   <source>Take a patch's own zone away</source>
   <translation>Eigene Zone eines Flecks wegnehmen</translation>
  </message>
  <message>
   <source>Take a sink's own settings away</source>
   <translation>Eigene Werte eines Kühlkörpers wegnehmen</translation>
  </message>
  <message>
   <source>Take faces out</source>
   <translation>Flächen herausnehmen</translation>
  </message>
  <message>
   <source>Take orientation</source>
   <translation>Ausrichtung übernehmen</translation>
  </message>
  <message>
   <source>Take this orientation</source>
   <translation>Ausrichtung übernehmen</translation>
  </message>
  <message>
   <source>Take {0}</source>
   <translation>{0} nehmen</translation>
  </message>
  <message>
   <source>Takes the part and its picked faces out of the job.</source>
   <translation>Nimmt das Teil und seine gewählten Flächen aus dem Auftrag.</translation>
  </message>
  <message>
   <source>Takes these trials out of your library; they can be put back.</source>
   <translation>Nimmt diese Versuche aus Ihrer Sammlung; sie lassen sich zurücklegen.</translation>
  </message>
  <message>
   <source>Takes this row out of its table.</source>
   <translation>Nimmt diese Zeile aus ihrer Tabelle.</translation>
  </message>
  <message>
   <source>Takes value, flag and source into the list above.</source>
   <translation>Übernimmt Wert, Herkunft und Quelle in die Liste oben.</translation>
  </message>
  <message>
   <source>Temperatures
out of date</source>
   <translation>Temperaturen
überholt</translation>
  </message>
  <message>
   <source>That is too much to trust them.</source>
   <translation>Das ist zu viel, um ihnen zu trauen.</translation>
  </message>
  <message>
   <source>The bracket as if it had been built: layer images and a scan to compare. Nothing was measured.</source>
   <translation>Der Halter, als wäre er gebaut: Schichtbilder und ein Scan zum Vergleichen. Nichts wurde gemessen.</translation>
  </message>
  <message>
   <source>The build was not followed for the job as it is; follow it, then export.</source>
   <translation>Der Bau wurde für den jetzigen Auftrag nicht verfolgt; erst verfolgen, dann exportieren.</translation>
  </message>
  <message>
   <source>The built part's surface as a scanner saw it, laid on this job.</source>
   <translation>Die Oberfläche des gebauten Teils, wie ein Scanner sie sah, auf diesen Auftrag gelegt.</translation>
  </message>
  <message>
   <source>The conductivity of powder is known to a factor of about 2, not to a percent.</source>
   <translation>Die Leitfähigkeit von Pulver ist auf einen Faktor von etwa 2 bekannt, nicht auf ein Prozent.</translation>
  </message>
  <message>
   <source>The coupon is written to {0}; fill in trials.csv after the build.</source>
   <translation>Der Coupon steht in {0}; nach dem Bau trials.csv ausfüllen.</translation>
  </message>
  <message>
   <source>The fuse limit is an energy bound, good to about ±40 %.</source>
   <translation>Die Schmelzgrenze ist eine Energieschranke, gut auf etwa ±40 %.</translation>
  </message>
  <message>
   <source>The gap window is now {0}.</source>
   <translation>Das Spaltfenster gilt jetzt: {0}.</translation>
  </message>
  <message>
   <source>The gap window is the model's estimate again; the trials stay kept.</source>
   <translation>Das Spaltfenster ist wieder die Schätzung des Modells; die Versuche bleiben behalten.</translation>
  </message>
  <message>
   <source>The gap window takes its fuse limit from these; they stay in force whatever is kept later.</source>
   <translation>Das Spaltfenster nimmt seine Schmelzgrenze von diesen; sie gelten weiter, was auch später behalten wird.</translation>
  </message>
  <message>
   <source>The heat limit is the gap at which the estimated rise reaches this.</source>
   <translation>Die Wärmegrenze ist der Spalt, bei dem der geschätzte Anstieg dies erreicht.</translation>
  </message>
  <message>
   <source>The hottest face of the patch between layers.</source>
   <translation>Die heißeste Fläche des Flecks zwischen Schichten.</translation>
  </message>
  <message>
   <source>The images were not compared for the job as it is; compare them, then export.</source>
   <translation>Die Bilder wurden für den jetzigen Auftrag nicht verglichen; erst vergleichen, dann exportieren.</translation>
  </message>
  <message>
   <source>The job “{0}” has changes that are not saved.</source>
   <translation>Der Auftrag „{0}“ hat ungespeicherte Änderungen.</translation>
  </message>
  <message>
   <source>The language changes when Underfin is started again.</source>
   <translation>Die Sprache wechselt beim nächsten Start von Underfin.</translation>
  </message>
  <message>
   <source>The least rise among gaps that come free with 95 %, by kept trials or else the model; to the micrometre</source>
   <translation>Der geringste Anstieg unter Spalten, die sich mit 95 % lösen, nach behaltenen Versuchen oder sonst dem Modell; auf den Mikrometer</translation>
  </message>
  <message>
   <source>The memory of this machine is not enough for this part; close other programs or reduce it.</source>
   <translation>Der Speicher dieses Rechners reicht für dieses Teil nicht; schließen Sie andere Programme oder verkleinern Sie es.</translation>
  </message>
  <message>
   <source>The method</source>
   <translation>Die Methode</translation>
  </message>
  <message>
   <source>The older revisions are kept.</source>
   <translation>Die älteren Revisionen bleiben erhalten.</translation>
  </message>
  <message>
   <source>The part is being placed; a moment.</source>
   <translation>Das Teil wird gestellt; einen Moment.</translation>
  </message>
  <message>
   <source>The picture could not be written to {0}; choose another folder.</source>
   <translation>Das Bild ließ sich nicht nach {0} schreiben; wählen Sie einen anderen Ordner.</translation>
  </message>
  <message>
   <source>The picture of {0} × {1} pixels is written to {2}.</source>
   <translation>Das Bild mit {0} × {1} Pixeln ist nach {2} geschrieben.</translation>
  </message>
  <message>
   <source>The point pairs alone miss by {0} mm (RMS).</source>
   <translation>Die Punktpaare allein verfehlen um {0} mm (RMS).</translation>
  </message>
  <message>
   <source>The quick look is out of date; it follows once the sinks are built.</source>
   <translation>Der Kurzblick ist überholt; er folgt, sobald die Kühlkörper gebaut sind.</translation>
  </message>
  <message>
   <source>The quick look is under way…</source>
   <translation>Der Kurzblick läuft…</translation>
  </message>
  <message>
   <source>The same part once more, with its picked faces.</source>
   <translation>Dasselbe Teil noch einmal, mit seinen gewählten Flächen.</translation>
  </message>
  <message>
   <source>The same with powder all the way down to the plate.</source>
   <translation>Dasselbe mit Pulver bis hinunter zur Platte.</translation>
  </message>
  <message>
   <source>The scan was not compared for the job as it is; compare it, then export.</source>
   <translation>Der Scan wurde für den jetzigen Auftrag nicht verglichen; erst vergleichen, dann exportieren.</translation>
  </message>
  <message>
   <source>The shapes are exact: the distance from sink to part is measured on the solid that is written.</source>
   <translation>Die Formen sind genau: Der Abstand vom Kühlkörper zum Teil wird am geschriebenen Körper gemessen.</translation>
  </message>
  <message>
   <source>The sinks are not built for the job as it is.</source>
   <translation>Die Kühlkörper sind für den jetzigen Auftrag nicht gebaut.</translation>
  </message>
  <message>
   <source>The sinks are not built for the job as it is; build them, then export.</source>
   <translation>Die Kühlkörper sind für den jetzigen Auftrag nicht gebaut; erst bauen, dann exportieren.</translation>
  </message>
  <message>
   <source>The sinks lie in front of it from below; hide them to see it whole</source>
   <translation>Von unten liegen die Kühlkörper davor; verbergen Sie sie, um alles zu sehen</translation>
  </message>
  <message>
   <source>The trials are back. {0}</source>
   <translation>Die Versuche sind zurück. {0}</translation>
  </message>
  <message>
   <source>The trials are kept for {0}, layer {1} mm; this job has another alloy or layer.</source>
   <translation>Die Versuche sind für {0}, Schicht {1} mm, behalten; dieser Auftrag hat eine andere Legierung oder Schicht.</translation>
  </message>
  <message>
   <source>The trials are kept; the gap window is now {0}.</source>
   <translation>Die Versuche sind behalten; das Spaltfenster gilt jetzt: {0}.</translation>
  </message>
  <message>
   <source>The trials are kept; the gap window is now {0}; it was {1}, which stay in the list.</source>
   <translation>Die Versuche sind behalten; das Spaltfenster gilt jetzt: {0}; vorher: {1}, die in der Liste bleiben.</translation>
  </message>
  <message>
   <source>The trials are kept; the gap window stays {0}.</source>
   <translation>Die Versuche sind behalten; das Spaltfenster bleibt: {0}.</translation>
  </message>
  <message>
   <source>The trials of {0} are removed; “Put back” brings them back.</source>
   <translation>Die Versuche vom {0} sind entfernt; „Zurücklegen“ bringt sie zurück.</translation>
  </message>
  <message>
   <source>There is no sink to compare with; see the Check page for why.</source>
   <translation>Es gibt keinen Kühlkörper zum Vergleichen; die Seite Prüfen sagt, warum.</translation>
  </message>
  <message>
   <source>These trials were kept without their cells, so there is no plot of them.</source>
   <translation>Diese Versuche wurden ohne ihre Zellen behalten, daher gibt es keine Zeichnung.</translation>
  </message>
  <message>
   <source>Thickness of a fin or rib.</source>
   <translation>Dicke einer Rippe.</translation>
  </message>
  <message>
   <source>Thickness that one image stands for.</source>
   <translation>Dicke, für die ein Bild steht.</translation>
  </message>
  <message>
   <source>This face does not look down, so it needs no sink.</source>
   <translation>Diese Fläche schaut nicht nach unten und braucht keinen Kühlkörper.</translation>
  </message>
  <message>
   <source>This face lies on the build plate, so it needs no sink.</source>
   <translation>Diese Fläche liegt auf der Bauplatte und braucht keinen Kühlkörper.</translation>
  </message>
  <message>
   <source>This face stands at {0}°, above the low-angle limit of {1}°; raise the limit to pick it.</source>
   <translation>Diese Fläche steht bei {0}°, über der Flachheitsgrenze von {1}°; zum Wählen die Grenze erhöhen.</translation>
  </message>
  <message>
   <source>Through the gap</source>
   <translation>Durch den Spalt</translation>
  </message>
  <message>
   <source>Ticked, gap and dimensions on this page change this sink only.</source>
   <translation>Angehakt ändern Spalt und Maße auf dieser Seite nur diesen Kühlkörper.</translation>
  </message>
  <message>
   <source>Ticked, these values are for this patch only; unticked, for all others together.</source>
   <translation>Angehakt gelten diese Werte nur für diesen Fleck; ohne Haken für alle anderen gemeinsam.</translation>
  </message>
  <message>
   <source>Tool bar</source>
   <translation>Werkzeugleiste</translation>
  </message>
  <message>
   <source>Top</source>
   <translation>Oben</translation>
  </message>
  <message>
   <source>Top σ</source>
   <translation>Höchst σ</translation>
  </message>
  <message>
   <source>Trials, layer images and scan with a verdict for every patch, as HTML and PDF</source>
   <translation>Versuche, Schichtbilder und Scan mit einem Urteil zu jedem Fleck, als HTML und PDF</translation>
  </message>
  <message>
   <source>Tried at {0}° (gap in {1}):</source>
   <translation>Versucht bei {0}° (Spalt in {1}):</translation>
  </message>
  <message>
   <source>Tries the part in many orientations and shows those that none beats.</source>
   <translation>Versucht das Teil in vielen Ausrichtungen und zeigt die, die keine übertrifft.</translation>
  </message>
  <message>
   <source>Turn about {0}</source>
   <translation>Um {0} drehen</translation>
  </message>
  <message>
   <source>Turn by {0}° about {1}</source>
   <translation>Um {0}° um {1} drehen</translation>
  </message>
  <message>
   <source>Turn the part so and lower it onto the plate; one step to undo.</source>
   <translation>Das Teil so drehen und auf die Platte absenken; ein Schritt für Rückgängig.</translation>
  </message>
  <message>
   <source>Turn {0}</source>
   <translation>{0} drehen</translation>
  </message>
  <message>
   <source>Turned about X, Y, Z by {0}; {1}.</source>
   <translation>Gedreht um X, Y, Z um {0}; {1}.</translation>
  </message>
  <message>
   <source>Type part of a command</source>
   <translation>Teil eines Befehls eintippen</translation>
  </message>
  <message>
   <source>Under patch {0}, {1} mm², from {2}°</source>
   <translation>Unter Fleck {0}, {1} mm², ab {2}°</translation>
  </message>
  <message>
   <source>Under the name beside; the values start with their sources.</source>
   <translation>Unter dem Namen daneben; die Werte beginnen mit ihren Quellen.</translation>
  </message>
  <message>
   <source>Underfin ended last time with changes that were not saved.</source>
   <translation>Underfin endete zuletzt mit ungespeicherten Änderungen.</translation>
  </message>
  <message>
   <source>Underfin is starting…</source>
   <translation>Underfin startet…</translation>
  </message>
  <message>
   <source>Underfin jobs</source>
   <translation>Underfin-Aufträge</translation>
  </message>
  <message>
   <source>Undo</source>
   <translation>Rückgängig</translation>
  </message>
  <message>
   <source>Unit</source>
   <translation>Einheit</translation>
  </message>
  <message>
   <source>Unit of the file</source>
   <translation>Einheit der Datei</translation>
  </message>
  <message>
   <source>Unit of the gap</source>
   <translation>Einheit des Spalts</translation>
  </message>
  <message>
   <source>Unit of the scan</source>
   <translation>Einheit des Scans</translation>
  </message>
  <message>
   <source>Unsaved changes</source>
   <translation>Ungespeicherte Änderungen</translation>
  </message>
  <message>
   <source>Untick to hide this sink in the view.</source>
   <translation>Haken entfernen, um diesen Kühlkörper auszublenden.</translation>
  </message>
  <message>
   <source>Untick to hide this zone in the view.</source>
   <translation>Haken entfernen, um diese Zone auszublenden.</translation>
  </message>
  <message>
   <source>Unticked, the conductivity comes from the model, known to a factor of about 2.</source>
   <translation>Ohne Haken kommt die Leitfähigkeit aus dem Modell, bekannt auf einen Faktor von etwa 2.</translation>
  </message>
  <message>
   <source>Unticked, the fins run across the lowest edge of the patch.</source>
   <translation>Ohne Haken laufen die Rippen quer zur tiefsten Kante des Flecks.</translation>
  </message>
  <message>
   <source>Use</source>
   <translation>Gelten lassen</translation>
  </message>
  <message>
   <source>Value</source>
   <translation>Wert</translation>
  </message>
  <message>
   <source>Value across</source>
   <translation>Wert quer</translation>
  </message>
  <message>
   <source>Value upward</source>
   <translation>Wert nach oben</translation>
  </message>
  <message>
   <source>Values of {0}, powder and laser.</source>
   <translation>Werte für {0}, Pulver und Laser.</translation>
  </message>
  <message>
   <source>Values with their sources</source>
   <translation>Werte mit ihren Quellen</translation>
  </message>
  <message>
   <source>Valve body</source>
   <translation>Ventilkörper</translation>
  </message>
  <message>
   <source>Volume {0} mm³</source>
   <translation>Volumen {0} mm³</translation>
  </message>
  <message>
   <source>Wall width</source>
   <translation>Wandbreite</translation>
  </message>
  <message>
   <source>Walls are this thin just above the plate, where they snap off; 0 for no neck.</source>
   <translation>So dünn sind die Wände dicht über der Platte, wo sie abbrechen; 0 für keinen Hals.</translation>
  </message>
  <message>
   <source>What a sink does and does not do</source>
   <translation>Was ein Kühlkörper tut und nicht tut</translation>
  </message>
  <message>
   <source>What a sink does not do, how sure the numbers are, safety</source>
   <translation>Was ein Kühlkörper nicht tut, wie sicher die Zahlen sind, Sicherheit</translation>
  </message>
  <message>
   <source>What came out</source>
   <translation>Was herauskam</translation>
  </message>
  <message>
   <source>What lies further off is not taken for the same surface.</source>
   <translation>Was weiter weg liegt, gilt nicht als dieselbe Oberfläche.</translation>
  </message>
  <message>
   <source>What lies under the mouse</source>
   <translation>Was unter der Maus liegt</translation>
  </message>
  <message>
   <source>What the full build gave</source>
   <translation>Was der ganze Bau ergab</translation>
  </message>
  <message>
   <source>What the job uses</source>
   <translation>Was der Auftrag nutzt</translation>
  </message>
  <message>
   <source>What was measured of the built part, compared with the job</source>
   <translation>Was am gebauten Teil gemessen wurde, verglichen mit dem Auftrag</translation>
  </message>
  <message>
   <source>Where from</source>
   <translation>Woher</translation>
  </message>
  <message>
   <source>Whether the patch had a sink in this job</source>
   <translation>Ob der Fleck in diesem Auftrag einen Kühlkörper hatte</translation>
  </message>
  <message>
   <source>Whether the sinks can be taken off, as a look down and to eight sides tells</source>
   <translation>Ob sich die Kühlkörper abnehmen lassen, nach einem Blick nach unten und zu acht Seiten</translation>
  </message>
  <message>
   <source>Why</source>
   <translation>Warum</translation>
  </message>
  <message>
   <source>Why a sink under patch {0}</source>
   <translation>Warum ein Kühlkörper unter Fleck {0}</translation>
  </message>
  <message>
   <source>Width</source>
   <translation>Breite</translation>
  </message>
  <message>
   <source>Width X</source>
   <translation>Breite X</translation>
  </message>
  <message>
   <source>Width of the slim wall.</source>
   <translation>Breite der schmalen Wand.</translation>
  </message>
  <message>
   <source>Width of those openings.</source>
   <translation>Breite dieser Öffnungen.</translation>
  </message>
  <message>
   <source>With axes and colour scale</source>
   <translation>Mit Achsen und Farbskala</translation>
  </message>
  <message>
   <source>Work in the background</source>
   <translation>Arbeit im Hintergrund</translation>
  </message>
  <message>
   <source>Worked on by</source>
   <translation>Gerechnet auf</translation>
  </message>
  <message>
   <source>Write coupon, trial sheet and plan to a folder</source>
   <translation>Coupon, Versuchsblatt und Plan in einen Ordner schreiben</translation>
  </message>
  <message>
   <source>Write plot and tables of the trials to a folder</source>
   <translation>Zeichnung und Tabellen der Versuche in einen Ordner schreiben</translation>
  </message>
  <message>
   <source>Write sinks, 3MF and report to a folder</source>
   <translation>Kühlkörper, 3MF und Bericht in einen Ordner schreiben</translation>
  </message>
  <message>
   <source>Write table, values and pictures to a folder</source>
   <translation>Tabelle, Werte und Bilder in einen Ordner schreiben</translation>
  </message>
  <message>
   <source>Write temperatures as table, plots and values to a folder</source>
   <translation>Temperaturen als Tabelle, Zeichnungen und Werte in einen Ordner schreiben</translation>
  </message>
  <message>
   <source>Write the coupon…</source>
   <translation>Coupon schreiben…</translation>
  </message>
  <message>
   <source>Write the report after the build to a folder</source>
   <translation>Den Bericht nach dem Bau in einen Ordner schreiben</translation>
  </message>
  <message>
   <source>Write values, tables and pictures of the worst layers to a folder</source>
   <translation>Werte, Tabellen und Bilder der schlimmsten Schichten in einen Ordner schreiben</translation>
  </message>
  <message>
   <source>Write values, tables and the deviation of every face to a folder</source>
   <translation>Werte, Tabellen und die Abweichung jeder Fläche in einen Ordner schreiben</translation>
  </message>
  <message>
   <source>Writing to {0}</source>
   <translation>Schreibt nach {0}</translation>
  </message>
  <message>
   <source>above the limit</source>
   <translation>über der Grenze</translation>
  </message>
  <message>
   <source>across X</source>
   <translation>quer zu X</translation>
  </message>
  <message>
   <source>across Y</source>
   <translation>quer zu Y</translation>
  </message>
  <message>
   <source>across Z</source>
   <translation>quer zu Z</translation>
  </message>
  <message>
   <source>add to the picked faces</source>
   <translation>zur Auswahl hinzunehmen</translation>
  </message>
  <message>
   <source>add, or take out again</source>
   <translation>hinzunehmen oder wieder herausnehmen</translation>
  </message>
  <message>
   <source>affine map</source>
   <translation>affine Abbildung</translation>
  </message>
  <message>
   <source>angle {0}°, no downskin</source>
   <translation>Winkel {0}°, kein Downskin</translation>
  </message>
  <message>
   <source>argon</source>
   <translation>Argon</translation>
  </message>
  <message>
   <source>arrow keys</source>
   <translation>Pfeiltasten</translation>
  </message>
  <message>
   <source>as shown</source>
   <translation>wie gezeigt</translation>
  </message>
  <message>
   <source>as shown, {0} × {1}</source>
   <translation>wie gezeigt, {0} × {1}</translation>
  </message>
  <message>
   <source>as the file says</source>
   <translation>wie in der Datei</translation>
  </message>
  <message>
   <source>at {0} mm
with {1} °C
without {2} °C</source>
   <translation>bei {0} mm
mit {1} °C
ohne {2} °C</translation>
  </message>
  <message>
   <source>automatic</source>
   <translation>automatisch</translation>
  </message>
  <message>
   <source>band</source>
   <translation>Band</translation>
  </message>
  <message>
   <source>being measured…</source>
   <translation>wird gemessen…</translation>
  </message>
  <message>
   <source>between layers
— with sinks
- - without</source>
   <translation>zwischen Schichten
— mit Kühlkörpern
- - ohne</translation>
  </message>
  <message>
   <source>centre of the plate</source>
   <translation>Mitte der Platte</translation>
  </message>
  <message>
   <source>choose</source>
   <translation>wählen</translation>
  </message>
  <message>
   <source>click</source>
   <translation>Klick</translation>
  </message>
  <message>
   <source>closed</source>
   <translation>geschlossen</translation>
  </message>
  <message>
   <source>computed</source>
   <translation>berechnet</translation>
  </message>
  <message>
   <source>downskin angle {0}°</source>
   <translation>Downskin-Winkel {0}°</translation>
  </message>
  <message>
   <source>drag</source>
   <translation>Ziehen</translation>
  </message>
  <message>
   <source>estimate, calibrate with the coupon</source>
   <translation>Schätzung, mit dem Coupon zu kalibrieren</translation>
  </message>
  <message>
   <source>face of {0} mm²</source>
   <translation>Fläche von {0} mm²</translation>
  </message>
  <message>
   <source>facing me</source>
   <translation>zu mir</translation>
  </message>
  <message>
   <source>fins</source>
   <translation>Rippen</translation>
  </message>
  <message>
   <source>from memory</source>
   <translation>aus dem Gedächtnis</translation>
  </message>
  <message>
   <source>from the cells</source>
   <translation>aus den Zellen</translation>
  </message>
  <message>
   <source>front left corner</source>
   <translation>vordere linke Ecke</translation>
  </message>
  <message>
   <source>front of the plate, {0} × {1} mm</source>
   <translation>Vorderkante der Platte, {0} × {1} mm</translation>
  </message>
  <message>
   <source>fuse limit {0} {1} · heat limit out of reach</source>
   <translation>Schmelzgrenze {0} {1} · Wärmegrenze unerreichbar</translation>
  </message>
  <message>
   <source>fuse limit {0} {1} · no heat limit</source>
   <translation>Schmelzgrenze {0} {1} · keine Wärmegrenze</translation>
  </message>
  <message>
   <source>fuse limit {0} · heat limit {1}</source>
   <translation>Schmelzgrenze {0} · Wärmegrenze {1}</translation>
  </message>
  <message>
   <source>gap here {0} mm to {1}</source>
   <translation>Spalt hier {0} mm ({1})</translation>
  </message>
  <message>
   <source>go to a row; on a patch, pick it</source>
   <translation>zu einer Zeile gehen; einen Fleck wählen</translation>
  </message>
  <message>
   <source>height {0} mm</source>
   <translation>Höhe {0} mm</translation>
  </message>
  <message>
   <source>helium</source>
   <translation>Helium</translation>
  </message>
  <message>
   <source>hole in the scan</source>
   <translation>Loch im Scan</translation>
  </message>
  <message>
   <source>homography</source>
   <translation>Homographie</translation>
  </message>
  <message>
   <source>its band</source>
   <translation>sein Band</translation>
  </message>
  <message>
   <source>layer images</source>
   <translation>Schichtbilder</translation>
  </message>
  <message>
   <source>layer images {0} σ</source>
   <translation>Schichtbilder {0} σ</translation>
  </message>
  <message>
   <source>may fuse</source>
   <translation>kann schmelzen</translation>
  </message>
  <message>
   <source>measured</source>
   <translation>gemessen</translation>
  </message>
  <message>
   <source>measured by us</source>
   <translation>von uns gemessen</translation>
  </message>
  <message>
   <source>middle drag</source>
   <translation>Ziehen mit Mitteltaste</translation>
  </message>
  <message>
   <source>mirrored</source>
   <translation>gespiegelt</translation>
  </message>
  <message>
   <source>mm</source>
   <translation>mm</translation>
  </message>
  <message>
   <source>mm²</source>
   <translation>mm²</translation>
  </message>
  <message>
   <source>new job</source>
   <translation>neuer Auftrag</translation>
  </message>
  <message>
   <source>nitrogen</source>
   <translation>Stickstoff</translation>
  </message>
  <message>
   <source>no</source>
   <translation>nein</translation>
  </message>
  <message>
   <source>no gap meets both: fuse {0}, heat {1}</source>
   <translation>kein Spalt genügt beiden: {0}, {1}</translation>
  </message>
  <message>
   <source>no limit</source>
   <translation>keine Grenze</translation>
  </message>
  <message>
   <source>no metal here</source>
   <translation>hier kein Metall</translation>
  </message>
  <message>
   <source>no sink within {0} µm</source>
   <translation>kein Kühlkörper innerhalb {0} µm</translation>
  </message>
  <message>
   <source>no zone</source>
   <translation>keine Zone</translation>
  </message>
  <message>
   <source>nominal</source>
   <translation>nominal</translation>
  </message>
  <message>
   <source>none: found by shape</source>
   <translation>keine: nach der Form gefunden</translation>
  </message>
  <message>
   <source>none: the model's estimate</source>
   <translation>keiner: die Schätzung des Modells</translation>
  </message>
  <message>
   <source>not closed</source>
   <translation>nicht geschlossen</translation>
  </message>
  <message>
   <source>not mirrored</source>
   <translation>nicht gespiegelt</translation>
  </message>
  <message>
   <source>not told by the images</source>
   <translation>aus den Bildern nicht bekannt</translation>
  </message>
  <message>
   <source>of the file, else mm</source>
   <translation>laut Datei, sonst mm</translation>
  </message>
  <message>
   <source>on a sink: show or hide it</source>
   <translation>auf einem Kühlkörper: zeigen oder verbergen</translation>
  </message>
  <message>
   <source>open</source>
   <translation>offen</translation>
  </message>
  <message>
   <source>open the page of the row, or go to its finding</source>
   <translation>die Seite der Zeile öffnen oder zum Befund gehen</translation>
  </message>
  <message>
   <source>out of date</source>
   <translation>überholt</translation>
  </message>
  <message>
   <source>own size</source>
   <translation>eigene Größe</translation>
  </message>
  <message>
   <source>patch {0}, area {1} mm²</source>
   <translation>Fleck {0}, Größe {1} mm²</translation>
  </message>
  <message>
   <source>pick a face and what it grows over</source>
   <translation>eine Fläche wählen und alles, worüber sie wächst</translation>
  </message>
  <message>
   <source>pick several patches</source>
   <translation>mehrere Flecken wählen</translation>
  </message>
  <message>
   <source>plate on ribs</source>
   <translation>Platte auf Rippen</translation>
  </message>
  <message>
   <source>powder gap {0} µm</source>
   <translation>Pulverspalt {0} µm</translation>
  </message>
  <message>
   <source>processor</source>
   <translation>Prozessor</translation>
  </message>
  <message>
   <source>read</source>
   <translation>gelesen</translation>
  </message>
  <message>
   <source>recoater</source>
   <translation>Beschichter</translation>
  </message>
  <message>
   <source>rests on the plate by {0} mm²</source>
   <translation>steht mit {0} mm² auf der Platte</translation>
  </message>
  <message>
   <source>scan</source>
   <translation>Scan</translation>
  </message>
  <message>
   <source>scan deviation {0} µm</source>
   <translation>Scan-Abweichung {0} µm</translation>
  </message>
  <message>
   <source>second-hand</source>
   <translation>aus zweiter Hand</translation>
  </message>
  <message>
   <source>shift the view</source>
   <translation>die Ansicht schieben</translation>
  </message>
  <message>
   <source>shift, turn and scale</source>
   <translation>Schieben, Drehen und Skalieren</translation>
  </message>
  <message>
   <source>slim wall under the edge</source>
   <translation>schmale Wand unter der Kante</translation>
  </message>
  <message>
   <source>solid block</source>
   <translation>voller Block</translation>
  </message>
  <message>
   <source>stands on an edge or a point, so something else must hold it</source>
   <translation>steht auf Kante oder Spitze, muss also anders gehalten werden</translation>
  </message>
  <message>
   <source>stopping…</source>
   <translation>wird angehalten…</translation>
  </message>
  <message>
   <source>the model's estimate</source>
   <translation>die Schätzung des Modells</translation>
  </message>
  <message>
   <source>the part</source>
   <translation>das Teil</translation>
  </message>
  <message>
   <source>the window</source>
   <translation>das Fenster</translation>
  </message>
  <message>
   <source>too few values</source>
   <translation>zu wenige Werte</translation>
  </message>
  <message>
   <source>too hot</source>
   <translation>zu heiß</translation>
  </message>
  <message>
   <source>transparent</source>
   <translation>durchsichtig</translation>
  </message>
  <message>
   <source>trials of {0}</source>
   <translation>Versuche vom {0}</translation>
  </message>
  <message>
   <source>turn the view</source>
   <translation>die Ansicht drehen</translation>
  </message>
  <message>
   <source>waits</source>
   <translation>wartet</translation>
  </message>
  <message>
   <source>waits until this version is ready, about a minute</source>
   <translation>wartet, bis diese Version bereit ist, etwa eine Minute</translation>
  </message>
  <message>
   <source>wheel</source>
   <translation>Rad</translation>
  </message>
  <message>
   <source>white</source>
   <translation>weiß</translation>
  </message>
  <message>
   <source>with sinks</source>
   <translation>mit</translation>
  </message>
  <message>
   <source>with sinks {0} °C, without {1} °C</source>
   <translation>mit Kühlkörpern {0} °C, ohne {1} °C</translation>
  </message>
  <message>
   <source>without</source>
   <translation>ohne</translation>
  </message>
  <message>
   <source>without 0000 °C</source>
   <translation>ohne 0000 °C</translation>
  </message>
  <message>
   <source>yes</source>
   <translation>ja</translation>
  </message>
  <message>
   <source>z mm</source>
   <translation>z mm</translation>
  </message>
  <message>
   <source>zoom at the cursor</source>
   <translation>zur Maus hin vergrößern</translation>
  </message>
  <message>
   <source>{0} above patch {1}, {2} layers</source>
   <translation>{0} über Fleck {1}, {2} Schichten</translation>
  </message>
  <message>
   <source>{0} at work, {1} waiting</source>
   <translation>{0} läuft, {1} wartet</translation>
  </message>
  <message>
   <source>{0} at {1}, {2} mm</source>
   <translation>{0} bei {1}, {2} mm</translation>
  </message>
  <message>
   <source>{0} cells of {1}; of the job: layer {2} mm, {3} W, {4} mm/s, the plate and the kind of sink.</source>
   <translation>{0} Zellen aus {1}; vom Auftrag: Schicht {2} mm, {3} W, {4} mm/s, die Platte und die Art des Kühlkörpers.</translation>
  </message>
  <message>
   <source>{0} faces are never downskin.</source>
   <translation>{0} Flächen sind nie Downskin.</translation>
  </message>
  <message>
   <source>{0} files are written to {1}.</source>
   <translation>{0} Dateien sind nach {1} geschrieben.</translation>
  </message>
  <message>
   <source>{0} for all sinks</source>
   <translation>{0}, bei allen</translation>
  </message>
  <message>
   <source>{0} hot spots, the {1} hottest; click one to see where it is.</source>
   <translation>{0} heiße Stellen, die {1} heißesten; anklicken zeigt, wo sie liegt.</translation>
  </message>
  <message>
   <source>{0} is in the job now.</source>
   <translation>{0} ist jetzt im Auftrag.</translation>
  </message>
  <message>
   <source>{0} is in the library as revision {1}.</source>
   <translation>{0} ist als Revision {1} in der Sammlung.</translation>
  </message>
  <message>
   <source>{0} is written to {1}, with all its revisions.</source>
   <translation>{0} ist mit allen Revisionen nach {1} geschrieben.</translation>
  </message>
  <message>
   <source>{0} layers</source>
   <translation>{0} Schichten</translation>
  </message>
  <message>
   <source>{0} mm high; {1} J/mm, {2} J/mm², {3} J/mm³ sent</source>
   <translation>{0} mm hoch; {1} J/mm, {2} J/mm², {3} J/mm³ eingestrahlt</translation>
  </message>
  <message>
   <source>{0} more are higher than the build volume.</source>
   <translation>{0} weitere sind höher als der Bauraum.</translation>
  </message>
  <message>
   <source>{0} more cautions</source>
   <translation>{0} weitere Hinweise</translation>
  </message>
  <message>
   <source>{0} more would turn a marked face down.</source>
   <translation>{0} weitere würden eine markierte Fläche nach unten drehen.</translation>
  </message>
  <message>
   <source>{0} of {1} orientations are beaten by none in area, sinks, height and rise together.</source>
   <translation>{0} von {1} Ausrichtungen übertrifft keine in Fläche, Kühlkörpern, Höhe und Anstieg zugleich.</translation>
  </message>
  <message>
   <source>{0} of {1} patches are picked.</source>
   <translation>{0} von {1} Flecken sind gewählt.</translation>
  </message>
  <message>
   <source>{0} patches, {1} islands; highest sink {2} mm.</source>
   <translation>{0} Flecken, {1} Inseln; höchster Kühlkörper {2} mm.</translation>
  </message>
  <message>
   <source>{0} stop, {1} note, {2} ok</source>
   <translation>{0} Stopp, {1} Hinweis, {2} gut</translation>
  </message>
  <message>
   <source>{0} triangles, {1}</source>
   <translation>{0} Dreiecke, {1}</translation>
  </message>
  <message>
   <source>{0} under patch {1}</source>
   <translation>{0} unter Fleck {1}</translation>
  </message>
  <message>
   <source>{0} {1}, open source; sinks under low-angle downskin.</source>
   <translation>{0} {1}, quelloffen; Kühlkörper unter flachem Downskin.</translation>
  </message>
  <message>
   <source>{0}, about {1} left</source>
   <translation>{0}, noch etwa {1}</translation>
  </message>
  <message>
   <source>{0}, built in</source>
   <translation>{0}, eingebaut</translation>
  </message>
  <message>
   <source>{0}, machine setting</source>
   <translation>{0}, Maschinenwerte</translation>
  </message>
  <message>
   <source>{0}, own alloy</source>
   <translation>{0}, eigene Legierung</translation>
  </message>
  <message>
   <source>{0}: nearest {1} mm, gap error {2} µm (99 of 100), covers {3} %, {4} mm³</source>
   <translation>{0}: nächste {1} mm, Spaltfehler {2} µm (99 von 100), deckt {3} %, {4} mm³</translation>
  </message>
  <message>
   <source>{0}: none are given; write them like 0.2,0.3 or 0.1:0.5:0.05.</source>
   <translation>{0}: nichts angegeben; so schreiben: 0.2,0.3 oder 0.1:0.5:0.05.</translation>
  </message>
  <message>
   <source>{0}: {1} cells judged, {2} free, {3} stuck, {4} lost</source>
   <translation>{0}: {1} Zellen beurteilt, {2} frei, {3} fest, {4} verloren</translation>
  </message>
  <message>
   <source>{0}: {1} free, {2} stuck, {3} lost</source>
   <translation>{0}: {1} frei, {2} fest, {3} verloren</translation>
  </message>
  <message>
   <source>{0}: {1} images of {2} × {3} pixels, {4} of them show the part.</source>
   <translation>{0}: {1} Bilder mit {2} × {3} Pixeln, {4} davon zeigen das Teil.</translation>
  </message>
  <message>
   <source>{0}: {1} triangles, in {2}.</source>
   <translation>{0}: {1} Dreiecke, in {2}.</translation>
  </message>
  <message>
   <source>{0}: {1} µm per mm of gap ({2} to {3})</source>
   <translation>{0}: {1} µm je mm Spalt ({2} bis {3})</translation>
  </message>
  <message>
   <source>{0}°: no limit found</source>
   <translation>{0}°: keine Grenze gefunden</translation>
  </message>
  <message>
   <source>{0}°: {1} mm comes free with 95 % probability ({2} to {3} mm)</source>
   <translation>{0}°: {1} mm löst sich mit 95 % Wahrscheinlichkeit ({2} bis {3} mm)</translation>
  </message>
  <message>
   <source>°C</source>
   <translation>°C</translation>
  </message>
  <message>
   <source>× part</source>
   <translation>× Teil</translation>
  </message>
  <message>
   <source>“Facing me” takes the direction of the view as it is now</source>
   <translation>„Zu mir“ nimmt die Richtung der Ansicht, wie sie jetzt ist</translation>
  </message>
  <message>
   <source>“{0}” is not a number; write it like 13.5.</source>
   <translation>„{0}“ ist keine Zahl; so schreiben: 13.5.</translation>
  </message>
  <message>
   <source>… and {0} more</source>
   <translation>… und {0} weitere</translation>
  </message>
  <message>
   <source>… {0} smaller risks</source>
   <translation>… {0} kleinere Risiken</translation>
  </message>
 </context>
</TS>
