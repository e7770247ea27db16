using Capacityplan.Core.Exchange;
using Capacityplan.Core.Machines;

namespace Capacityplan.Core.Tests.Exchange;

/// <summary>Headings in German and French, with figures as they are written there. What each means was worked out by hand.</summary>
public sealed class ForeignHeadingTests
{
    /// <summary>Each ends as the machine Heron-16: 16 threads, 8 cores, 64 GiB, 1.50 EUR an hour.</summary>
    public static TheoryData<string> SameMachine =>
    [
        "Maschine;Threads;Kerne;Arbeitsspeicher (GiB);Stundenpreis (EUR)\nHeron-16;16;8;64;1,50\n",
        "Rechner;Logische Kerne;Physische Kerne;Speicher in GiB;Preis pro Stunde;Währung\nHeron-16;16;8;64;1,50;EUR\n",
        "Name;Anzahl Threads;Anzahl Kerne;Hauptspeicher GB;Preis je Tag (EUR)\nHeron-16;16;8;68,719476736;36;\n",
        "Machine;Threads matériels;Cœurs physiques;Mémoire (Gio);Prix par heure (EUR)\nHeron-16;16;8;64;1,50\n",
        "Nom;Coeurs logiques;Nombre de coeurs;Memoire Go;Coût horaire;Devise\nHeron-16;16;8;68,719476736;1,50;EUR\n",
        "Serveur;Threads;Coeurs;Mémoire;Prix à la minute (€)\nHeron-16;16;8;64 GiB;0,025\n",
    ];

    [Theory]
    [MemberData(nameof(SameMachine))]
    public void Read_InGermanOrFrench_IsTheSameMachine(string text)
    {
        CatalogueImport import = Read(text);

        MachineType machine = Assert.Single(import.Reading.Catalogue.Machines);
        var paid = Assert.IsType<MeteredPurchase>(Assert.Single(machine.Purchase));
        Assert.Equal(("Heron-16", 16, 8, "EUR"), (machine.Name, machine.HardwareThreads, machine.PhysicalCores, paid.Currency));
        Assert.Equal(64, machine.MemoryGiB, 1e-9);
        Assert.Equal(1.5, (double)paid.PricePerHour, 1e-8);
    }

    [Theory]
    [InlineData("Speicherbandbreite (GB/s)", MachineField.MemoryBandwidth)]
    [InlineData("Bande passante mémoire", MachineField.MemoryBandwidth)]
    [InlineData("Kerngeschwindigkeit", MachineField.RelativeCoreSpeed)]
    [InlineData("Startzeit (s)", MachineField.StartUp)]
    [InlineData("Temps de démarrage", MachineField.StartUp)]
    [InlineData("Zahlungsart", MachineField.Kind)]
    [InlineData("Mode de paiement", MachineField.Kind)]
    [InlineData("Abrechnungstakt", MachineField.Increment)]
    [InlineData("Pas de facturation", MachineField.Increment)]
    [InlineData("Mindestdauer", MachineField.Minimum)]
    [InlineData("Monatspreis", MachineField.PricePerMonth)]
    [InlineData("Prix par mois", MachineField.PricePerMonth)]
    [InlineData("Vertragslaufzeit (Monate)", MachineField.TermMonths)]
    [InlineData("Durée d'engagement", MachineField.TermMonths)]
    [InlineData("Anzahlung", MachineField.Upfront)]
    [InlineData("Acompte", MachineField.Upfront)]
    [InlineData("Unterbrechungen pro Stunde", MachineField.InterruptionsPerHour)]
    [InlineData("Neustart", MachineField.Restart)]
    [InlineData("Temps de redémarrage", MachineField.Restart)]
    [InlineData("Kaufpreis", MachineField.PurchasePrice)]
    [InlineData("Prix d'achat", MachineField.PurchasePrice)]
    [InlineData("Nutzungsdauer (Jahre)", MachineField.LifetimeMonths)]
    [InlineData("Durée de vie", MachineField.LifetimeMonths)]
    [InlineData("Leistungsaufnahme (W)", MachineField.Watts)]
    [InlineData("Puissance", MachineField.Watts)]
    [InlineData("Strompreis pro kWh", MachineField.PricePerKilowattHour)]
    [InlineData("Prix de l'électricité", MachineField.PricePerKilowattHour)]
    [InlineData("Lizenz pro Kern", MachineField.LicencePerCore)]
    [InlineData("Licence par cœur", MachineField.LicencePerCore)]
    [InlineData("Lizenzkosten", MachineField.LicencePerMachine)]
    public void Guess_AHeading_IsWhatItMeans(string heading, MachineField field) =>
        Assert.Equal(field, ColumnGuess.Of([heading], [[]])[0].Meaning.Field);

    [Theory]
    [InlineData("Preis pro Tag", "a day")]
    [InlineData("Prix par minute", "a minute")]
    [InlineData("Laufzeit in Jahren", "years")]
    [InlineData("Durée (années)", "years")]
    [InlineData("Mémoire (Go)", "GB")]
    public void Guess_AHeadingWithAUnit_CountsIt(string heading, string unit) => Assert.Equal(unit, ColumnGuess.Of([heading], [[]])[0].Unit?.Words);

    [Theory]
    [InlineData("unterbrechbar", InterruptiblePurchase.KindName)]
    [InlineData("Miete", TermPurchase.KindName)]
    [InlineData("à l'heure", MeteredPurchase.KindName)]
    [InlineData("Achetée", OwnedPurchase.KindName)]
    public void Find_AKind_IsThatOfTheWord(string text, string kind) => Assert.Equal(kind, KindWords.Find(text));

    private static CatalogueImport Read(string text)
    {
        var table = ImportTable.Of(CatalogueFile.OpenText(text));
        return CatalogueImport.Read(table, table.Guesses, new ImportChoices());
    }
}
