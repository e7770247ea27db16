using System.Collections.Immutable;
using Capacityplan.Core.Machines;
using Capacityplan.Storage;
using Capacityplan.Web.Catalogues;
using Capacityplan.Web.Components.Catalogues;
using Capacityplan.Web.Components.Layout;
using Microsoft.AspNetCore.Components;
using Microsoft.JSInterop;

namespace Capacityplan.Web.Components.Pages;

/// <summary>The catalogue plans are priced with, edited in place.</summary>
public sealed partial class MachinesPage : IAsyncDisposable
{
    /// <summary>A page of thousands of blanks is slow to open; the rest is a press away.</summary>
    private const int RowsAtFirst = 200;

    private readonly Dictionary<int, MachineRow?> _rows = [];
    private CatalogueSheet? _sheet;
    private CatalogueSaver? _saver;
    private Unreadable? _unreadable;
    private string _unreadableName = "";
    private bool _isEmpty;
    private bool _isMissing;
    private bool _isOpened;
    private Guid? _opened;
    private ImmutableArray<StoredCatalogue> _catalogues = [];
    private StoredCatalogue? _deletedCatalogue;
    private UndoBar? _undoCatalogue;
    private bool _focusUndoCatalogue;
    private ImmutableArray<string> _clashes = [];
    private ElementReference _table;
    private IJSObjectReference? _keys;
    private bool _isTableNew;
    private UndoBar? _undo;
    private UndoBar? _undoImport;
    private bool _focusUndoImport;
    private bool _imports;
    private int _rowsShown = RowsAtFirst;
    private bool _focusUndo;
    private int? _focusRow;

    /// <summary>The catalogue's key; null for the default one.</summary>
    [Parameter]
    public Guid? Id { get; set; }

    [Inject]
    private NavigationManager Navigation { get; init; } = default!;

    [Inject]
    private CatalogueStore Store { get; init; } = default!;

    [Inject]
    private TimeProvider Clock { get; init; } = default!;

    [Inject]
    private ILogger<CatalogueSaver> SaverLog { get; init; } = default!;

    [Inject]
    private IJSRuntime Js { get; init; } = default!;

    private DateOnly Today => DateOnly.FromDateTime(Clock.GetLocalNow().Date);

    private string? RuleClass => _sheet switch
    {
        { Reading.Catalogue: { } catalogue } when catalogue.PricesAreStale(Today) => "stale",
        { Reading.IsWhole: true, Rows.Count: > 0 } => null,
        _ => "open",
    };

    private string StateNote => _sheet switch
    {
        { Refused: 1 } => "one cell not read yet",
        { Refused: > 1 and var cells } => $"{cells} cells not read yet",
        { Reading.Catalogue: { PricesOf: { } day } catalogue } => $"prices of {CatalogueDraft.WriteDay(day)}{(catalogue.PricesAreInvented ? ", invented" : "")}",
        _ => "the prices have no day",
    };

    private string? DeletedWords => _sheet?.LastDeleted is { Row.Draft.Name: var name }
        ? $"Deleted {(string.IsNullOrWhiteSpace(name) ? "a machine without a name" : $"“{name}”")}."
        : null;

    /// <inheritdoc/>
    public async ValueTask DisposeAsync()
    {
        Store.Changed -= OnCataloguesChanged;
        if (_saver is not null)
            await _saver.DisposeAsync();
        _keys.LetGo();
    }

    /// <inheritdoc/>
    protected override void OnInitialized() => Store.Changed += OnCataloguesChanged;

    /// <inheritdoc/>
    protected override async Task OnParametersSetAsync()
    {
        if (_isOpened && _opened == Id)
            return;
        (_isOpened, _opened) = (true, Id);
        await OpenAsync();
    }

    /// <inheritdoc/>
    protected override async Task OnAfterRenderAsync(bool firstRender)
    {
        if (_isTableNew && _sheet is { Rows.Count: > 0 })
        {
            _isTableNew = false;
            _keys ??= await Js.InvokeAsync<IJSObjectReference>("import", "./Components/Pages/MachinesPage.razor.js");
            await _keys.InvokeVoidAsync("moveByKeys", _table);
        }

        if (_focusUndo && _undo is not null)
        {
            _focusUndo = false;
            await _undo.FocusAsync();
        }

        if (_focusUndoImport && _undoImport is not null)
        {
            _focusUndoImport = false;
            await _undoImport.FocusAsync();
        }

        if (_focusUndoCatalogue && _undoCatalogue is not null)
        {
            _focusUndoCatalogue = false;
            await _undoCatalogue.FocusAsync();
        }

        if (_focusRow is { } key && _rows.GetValueOrDefault(key) is { } row)
        {
            _focusRow = null;
            await row.FocusAsync();
        }
    }

    private async Task OpenAsync()
    {
        if (_saver is not null)
            await _saver.DisposeAsync();
        (_sheet, _saver, _unreadable, _clashes) = (null, null, null, []);
        _rows.Clear();

        _catalogues = await Store.ListAsync();
        StoredCatalogue? stored = _catalogues.FirstOrDefault(catalogue => _opened is { } id ? catalogue.Id == id : catalogue.IsDefault);
        _isEmpty = _catalogues.IsEmpty;
        _isMissing = stored is null && !_isEmpty;
        if (stored is null)
            return;
        if (stored.Unreadable is not null || stored.Catalogue is null)
        {
            (_unreadable, _unreadableName) = (stored.Unreadable, stored.Name);
            return;
        }

        _sheet = new CatalogueSheet(stored.Draft ?? CatalogueDraft.Of(stored.Catalogue));
        _sheet.Settle();
        _isTableNew = true;
        _saver = new CatalogueSaver(stored, Store, Clock, SaverLog);
        _saver.Changed += () => _ = InvokeAsync(StateHasChanged);
        CatalogueSheet sheet = _sheet;
        _saver.Saved += moment => _ = InvokeAsync(() => sheet.MarkStored(moment.Rows, moment.Reading.Draft));
    }

    private void Take()
    {
        if (_sheet is { } sheet)
            _saver?.Take(SheetMoment.Of(sheet));
    }

    private void Add()
    {
        _isTableNew |= _sheet is { Rows.Count: 0 };
        _rowsShown = _sheet is { Rows.Count: >= RowsAtFirst } ? int.MaxValue : _rowsShown;
        _focusRow = _sheet?.Add();
        Take();
    }

    private void Duplicate(int key)
    {
        _focusRow = _sheet?.Duplicate(key);
        Take();
    }

    private void Delete(int key)
    {
        _sheet?.Delete(key);
        _rows.Remove(key);
        _focusUndo = true;
        Take();
    }

    private void PutBack()
    {
        _isTableNew |= _sheet is { Rows.Count: 0 };
        _focusRow = _sheet?.PutBack();
        Take();
    }

    private void TakeImport((ImportStep Step, bool Replace) taken)
    {
        _isTableNew |= _sheet is { Rows.Count: 0 };
        _sheet?.Take(taken.Step.Import, taken.Replace, taken.Step.File);
        (_imports, _focusUndoImport) = (false, true);
        Take();
    }

    private void UndoImport()
    {
        _sheet?.UndoImport();
        _isTableNew = true;
        Take();
    }

    private void TakeIn()
    {
        if (_sheet is not { } sheet || _saver is not { Theirs: { Catalogue: { } catalogue } theirs } saver)
            return;
        _clashes = sheet.TakeIn(theirs.Draft ?? CatalogueDraft.Of(catalogue));
        sheet.Settle();
        saver.Resume(theirs, SheetMoment.Of(sheet));
    }

    private async Task StartForImportAsync()
    {
        await StartAsync();
        if (_sheet is { Rows: [{ } row] } sheet)
            sheet.Delete(row.Key);
        _sheet?.ForgetDeleted();
        _imports = true;
    }

    private async Task StartAsync()
    {
        StoredCatalogue created = await Store.CreateAsync(new Catalogue { Name = _catalogues.IsEmpty ? "My" : "New", PricesOf = Today, Machines = [] });
        // The first, or one in place of a default that cannot be read, is what plans are priced with.
        if (_sheet is null)
            await Store.MakeDefaultAsync(created.Id);
        await ShowAsync(created.Id);
        Add();
    }

    private async Task UseExampleAsync()
    {
        StoredCatalogue created = await Store.CreateAsync(DemoData.Load().Catalogue);
        await Store.MakeDefaultAsync(created.Id);
        await ShowAsync(created.Id);
    }

    private async Task DuplicateCatalogueAsync()
    {
        if (_saver is not { } saver)
            return;
        await saver.SaveAsync();
        if (await Store.DuplicateAsync(saver.Id) is { } copy)
            await ShowAsync(copy.Id);
    }

    private async Task MakeDefaultAsync()
    {
        if (_saver is { } saver)
            await Store.MakeDefaultAsync(saver.Id);
        _catalogues = await Store.ListAsync();
    }

    private async Task DeleteCatalogueAsync()
    {
        if (_saver is not { } saver)
            return;
        await saver.SaveAsync();
        StoredCatalogue? deleted = await Store.FindAsync(saver.Id);
        await Store.DeleteAsync(saver.Id);
        await ShowAsync(null);
        (_deletedCatalogue, _focusUndoCatalogue) = (deleted, deleted is not null);
    }

    private async Task PutCatalogueBackAsync()
    {
        if (_deletedCatalogue is not { } deleted)
            return;
        _deletedCatalogue = null;
        await Store.RestoreAsync(deleted.Id);
        await ShowAsync(deleted.Id);
    }

    /// <summary>Opens a catalogue and puts its address in the browser's line.</summary>
    private async Task ShowAsync(Guid? id)
    {
        (_opened, Guid? before) = (id, _opened);
        await OpenAsync();
        if (id != before)
            Navigation.NavigateTo(id is { } key ? $"machines/{key}" : "machines");
    }

    private void OnCataloguesChanged() => _ = InvokeAsync(async () =>
    {
        try
        {
            _catalogues = await Store.ListAsync();
            StateHasChanged();
        }
        catch (Exception exception) when (exception is not OutOfMemoryException)
        {
            await DispatchExceptionAsync(exception);
        }
    });

    private string Range<T>(Func<MachineType, T> figure, Func<T, string> write)
    {
        T[] sorted = [.. _sheet!.Reading.Catalogue.Machines.Select(figure).Order()];
        string low = write(sorted[0]), high = write(sorted[^1]);
        return low == high ? low : $"{low} to {high}";
    }
}
