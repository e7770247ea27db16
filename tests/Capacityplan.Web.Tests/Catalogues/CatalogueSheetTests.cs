using Capacityplan.Core.Machines;
using Capacityplan.Core.Reading;
using Capacityplan.Web.Catalogues;

namespace Capacityplan.Web.Tests.Catalogues;

public sealed class CatalogueSheetTests
{
    [Fact]
    public void Type_AFigure_ChangesTheMachine()
    {
        CatalogueSheet sheet = Sheet();

        sheet.Type(Key(sheet, "Wren-4"), MachineField.PricePerHour, "0,42");

        Assert.Equal(0.42m, Price(sheet, "Wren-4"));
        Assert.Equal("0,42", sheet.Rows[0].Draft.PricePerHour);
        Assert.True(sheet.Reading.IsWhole);
    }

    [Fact]
    public void Type_ABadFigure_IsToldOnceTheCellIsLeftAndUntilItIsMended()
    {
        CatalogueSheet sheet = Sheet();
        int key = Key(sheet, "Wren-4");

        sheet.Type(key, MachineField.PricePerHour, "0.4o");
        Assert.Empty(sheet.Told(sheet.Rows[0]));
        sheet.Settle();
        Assert.Equal(MachineField.PricePerHour, Assert.Single(sheet.Told(sheet.Rows[0])).Field);
        Assert.Equal(0.39m, Price(sheet, "Wren-4"));

        sheet.Type(key, MachineField.PricePerHour, "0.4oo");
        Assert.Single(sheet.Told(sheet.Rows[0]));
        sheet.Type(key, MachineField.PricePerHour, "0.4");
        Assert.Empty(sheet.Told(sheet.Rows[0]));
        sheet.Type(key, MachineField.PricePerHour, "0.4x");
        Assert.Empty(sheet.Told(sheet.Rows[0]));
    }

    [Fact]
    public void Add_ARow_TakesOverWhatMachinesShareAndLacksTheRest()
    {
        CatalogueSheet sheet = Sheet();

        int key = sheet.Add();

        SheetRow row = sheet.Rows[^1];
        Assert.Equal((key, "EUR", "45", "60", ""), (row.Key, row.Draft.Currency, row.Draft.StartUp, row.Draft.Minimum, row.Draft.PricePerHour));
        Assert.Equal(
            [MachineField.Name, MachineField.HardwareThreads, MachineField.PhysicalCores, MachineField.Memory, MachineField.PricePerHour],
            sheet.Lacking(row));
        Assert.Empty(sheet.Told(row));
        Assert.Equal(2, sheet.Reading.Catalogue.Machines.Length);

        foreach ((MachineField field, string text) in (ReadOnlySpan<(MachineField, string)>)
            [(MachineField.Name, "Crane-48"), (MachineField.HardwareThreads, "48"), (MachineField.PhysicalCores, "24"), (MachineField.Memory, "384"), (MachineField.PricePerHour, "3.89")])
        {
            sheet.Type(key, field, text);
        }

        Assert.Equal(["Wren-4", "Heron-16", "Crane-48"], sheet.Reading.Catalogue.Machines.Select(machine => machine.Name));
        Assert.Empty(sheet.Lacking(sheet.Rows[^1]));
    }

    [Fact]
    public void Add_TheFirstRow_StartsFromPlainDefaults()
    {
        CatalogueSheet sheet = new(CatalogueDraft.Of(new Catalogue { Name = "Birds", Machines = [] }));

        sheet.Add();

        MachineDraft draft = Assert.Single(sheet.Rows).Draft;
        Assert.Equal(("1", "0", "EUR", "1", "0"), (draft.RelativeCoreSpeed, draft.StartUp, draft.Currency, draft.Increment, draft.Minimum));
    }

    [Fact]
    public void Duplicate_ARow_StandsBelowItUnderANameOfItsOwnWithEveryWayToPay()
    {
        MachineType wren = TemporaryStore.Bird("Wren-4", 4, 0.39m);
        wren = wren with { Purchase = [wren.Purchase[0], new MeteredPurchase { Currency = "USD", PricePerHour = 9 }] };
        CatalogueSheet sheet = new(CatalogueDraft.Of(TemporaryStore.Birds() with { Machines = [wren, TemporaryStore.Bird("Heron-16", 16, 1.5m)] }));

        sheet.Duplicate(Key(sheet, "Wren-4"));
        sheet.Duplicate(Key(sheet, "Wren-4"));

        Assert.Equal(["Wren-4", "Wren-4 copy 2", "Wren-4 copy", "Heron-16"], sheet.Reading.Catalogue.Machines.Select(machine => machine.Name));
        Assert.Equal([0.39m, 9], sheet.Reading.Catalogue.Machines[1].Purchase.Cast<MeteredPurchase>().Select(option => option.PricePerHour));
        Assert.True(sheet.Reading.IsWhole);
    }

    [Fact]
    public void Delete_Rows_CanBePutBackWhereTheyWereTheLastFirst()
    {
        CatalogueSheet sheet = Sheet();
        int wren = Key(sheet, "Wren-4"), heron = Key(sheet, "Heron-16");
        sheet.Type(wren, MachineField.PricePerHour, "bad");

        sheet.Delete(wren);
        sheet.Delete(heron);
        Assert.Empty(sheet.Reading.Catalogue.Machines);
        Assert.Equal("Heron-16", sheet.LastDeleted?.Row.Draft.Name);

        Assert.Equal(heron, sheet.PutBack());
        Assert.Equal(wren, sheet.PutBack());
        Assert.Null(sheet.PutBack());
        Assert.Equal([wren, heron], sheet.Rows.Select(row => row.Key));
        Assert.Equal(("bad", 0.39m), (sheet.Rows[0].Draft.PricePerHour, Price(sheet, "Wren-4")));
    }

    [Fact]
    public void PutBack_ARowWhoseNameWasTaken_LeavesTheNameToTheOther()
    {
        CatalogueSheet sheet = Sheet();
        sheet.Delete(Key(sheet, "Wren-4"));
        sheet.Type(Key(sheet, "Heron-16"), MachineField.Name, "Wren-4");

        sheet.PutBack();

        Assert.Equal(16, Assert.Single(sheet.Reading.Catalogue.Machines).HardwareThreads);
        CellProblem problem = Assert.Single(sheet.Reading.Cells);
        Assert.Equal((0, MachineField.Name), (problem.Row, problem.Field));
    }

    [Fact]
    public void Head_WhatIsTyped_IsToldOnceItIsLeft()
    {
        CatalogueSheet sheet = Sheet();

        sheet.TypePricesOf("3 No");
        Assert.Empty(sheet.ToldProblems);
        sheet.Settle();
        Assert.Single(sheet.ToldProblems);
        Assert.Equal(new DateOnly(2026, 11, 3), sheet.Reading.Catalogue.PricesOf);

        sheet.SetPricesOf(new DateOnly(2026, 11, 24));
        sheet.TypeName("Better birds");
        sheet.SetInvented(true);
        Assert.Equal(
            ("Better birds", new DateOnly(2026, 11, 24), true, "24 Nov 2026"),
            (sheet.Reading.Catalogue.Name, sheet.Reading.Catalogue.PricesOf, sheet.Reading.Catalogue.PricesAreInvented, sheet.Head.PricesOf));
    }

    [Fact]
    public void TakeIn_WhatAnotherStored_KeepsTheCellsOfBothAndTellsWhereBothTyped()
    {
        CatalogueSheet sheet = Sheet();
        sheet.Type(Key(sheet, "Wren-4"), MachineField.PricePerHour, "0.41");
        sheet.Type(Key(sheet, "Heron-16"), MachineField.PricePerHour, "1.55");
        sheet.TypeName("My birds");
        CatalogueSheet other = Sheet();
        other.Type(Key(other, "Wren-4"), MachineField.Memory, "48");
        other.Type(Key(other, "Heron-16"), MachineField.PricePerHour, "1.60");
        other.TypePricesOf("20 Nov 2026");

        IEnumerable<string> clashes = sheet.TakeIn(CatalogueDraft.Of(other.Reading.Catalogue));

        Assert.Equal(["Heron-16, price an hour: yours, “1.55”, stands; theirs is “1.60”."], clashes);
        Assert.Equal((0.41m, 48.0), (Price(sheet, "Wren-4"), sheet.Reading.Catalogue.Machines[0].MemoryGiB));
        Assert.Equal(1.55m, Price(sheet, "Heron-16"));
        Assert.Equal(("My birds", new DateOnly(2026, 11, 20)), (sheet.Reading.Catalogue.Name, sheet.Reading.Catalogue.PricesOf));
    }

    [Fact]
    public void TakeIn_RowsAddedAndDeletedByEither_LosesNothingTyped()
    {
        CatalogueSheet sheet = new(CatalogueDraft.Of(Birds("a", "b", "c", "d")));
        CatalogueSheet other = new(CatalogueDraft.Of(Birds("a", "b", "c", "d")));
        sheet.Type(Key(sheet, "a"), MachineField.Memory, "1");
        sheet.Delete(Key(sheet, "c"));
        sheet.Delete(Key(sheet, "d"));
        sheet.Type(sheet.Add(), MachineField.Name, "mine");
        other.Delete(Key(other, "a"));
        other.Delete(Key(other, "b"));
        other.Type(Key(other, "d"), MachineField.Memory, "2");
        other.Type(other.Duplicate(Key(other, "c")), MachineField.Name, "theirs");

        sheet.TakeIn(CatalogueDraft.Of(other.Reading.Catalogue));

        // a: deleted there, changed here. b: deleted there. c: deleted here. d: deleted here, changed there.
        Assert.Equal(["a", "mine", "theirs", "d"], sheet.Rows.Select(row => row.Draft.Name));
        Assert.Equal(["a", "theirs", "d"], sheet.Reading.Catalogue.Machines.Select(machine => machine.Name));
    }

    [Fact]
    public void TakeIn_AfterASave_StartsFromWhatWasSaved()
    {
        CatalogueSheet sheet = Sheet();
        sheet.Type(Key(sheet, "Wren-4"), MachineField.PricePerHour, "0.41");
        sheet.MarkStored([.. sheet.Rows], sheet.Draft);
        Catalogue theirs = sheet.Reading.Catalogue;
        theirs = theirs with { Machines = [theirs.Machines[0] with { MemoryGiB = 5, Purchase = TemporaryStore.Bird("x", 2, 0.5m).Purchase }, theirs.Machines[1]] };

        Assert.Empty(sheet.TakeIn(CatalogueDraft.Of(theirs)));

        Assert.Equal((0.5m, 5.0), (Price(sheet, "Wren-4"), sheet.Reading.Catalogue.Machines[0].MemoryGiB));
    }

    private static CatalogueSheet Sheet() => new(CatalogueDraft.Of(TemporaryStore.Birds()));

    private static Catalogue Birds(params string[] names) =>
        TemporaryStore.Birds() with { Machines = [.. names.Select(name => TemporaryStore.Bird(name, 8, 1))] };

    private static int Key(CatalogueSheet sheet, string name) => sheet.Rows.First(row => row.Draft.Name == name).Key;

    private static decimal Price(CatalogueSheet sheet, string name) =>
        ((MeteredPurchase)sheet.Reading.Catalogue.Machines.Single(machine => machine.Name == name).Purchase[0]).PricePerHour;
}
